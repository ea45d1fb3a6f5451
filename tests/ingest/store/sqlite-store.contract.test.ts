import { join } from "node:path";
import { onTestFinished } from "vitest";
import { openStore } from "../../../ingest/index.ts";
import { scratchFolder } from "../support/scratch.ts";
import { testStore } from "./store-contract.ts";

testStore("the store in an SQLite file", async () => {
  const url = `sqlite:${join(scratchFolder(), "store.sqlite")}`;
  const open = async () => {
    const store = await openStore(url);
    onTestFinished(() => store.close());
    return store;
  };
  return { store: await open(), again: open };
});
