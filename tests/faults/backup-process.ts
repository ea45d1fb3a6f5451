/** A backup in a process of its own: `backup-process.ts STORE FILE`. Says "loaded" before it touches the store. */
import { backUp, openStore } from "../../ingest/index.ts";

const [url = "", file = ""] = process.argv.slice(2);
process.stdout.write("loaded\n");
const store = await openStore(url, { create: false });
await backUp(store, file);
await store.close();
process.stdout.write("done\n");
