/**
 * Opens a store in a process of its own, and ends it by force when it is about to send its database a statement:
 * `opening-process.ts STORE N` at the Nth. With N of 0 it goes to the end, and says how many statements it took.
 */
import { DatabaseSync } from "node:sqlite";
import pg from "pg";
import { openStore } from "../../ingest/index.ts";

const [url = "", last = "0"] = process.argv.slice(2);
let sent = 0;

function counted<Args extends unknown[], Answer>(send: (...args: Args) => Answer) {
  return function (this: unknown, ...args: Args): Answer {
    sent++;
    if (sent === Number(last)) process.kill(process.pid, "SIGKILL");
    return send.apply(this, args);
  };
}

DatabaseSync.prototype.exec = counted(DatabaseSync.prototype.exec);
DatabaseSync.prototype.prepare = counted(DatabaseSync.prototype.prepare);
pg.Client.prototype.query = counted(pg.Client.prototype.query as () => unknown) as never;

const store = await openStore(url);
process.stdout.write(String(sent));
await store.close();
