import { onTestFinished } from "vitest";
import { openStore } from "../../../ingest/index.ts";
import { scratchDatabase } from "../../support/scratch-database.ts";
import { testStore } from "./store-contract.ts";

testStore("the store in a PostgreSQL database", async () => {
  const url = await scratchDatabase();
  const open = async () => {
    const store = await openStore(url);
    onTestFinished(() => store.close());
    return store;
  };
  return { store: await open(), again: open };
});
