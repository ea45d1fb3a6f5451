/**
 * Writes remarks on a unit until the store takes no more: `remarks-process.ts STORE UNIT`. Says how many were kept, and
 * why no more were.
 */
import { openStore, StoreError } from "../../ingest/index.ts";

const [url = "", instrument = ""] = process.argv.slice(2);
const none = { checkedAtMs: null, speedRpm: null, onDay: "2026-03-01", undoes: null } as const;
const store = await openStore(url);
let kept = 0;
let refusal: StoreError | null = null;
while (refusal === null) {
  try {
    const why = "x".repeat(20_000);
    await store.addJudgement({ kind: "remark", instrument, madeAtMs: 5, by: "Ada", why, ...none });
    kept++;
  } catch (error) {
    if (!(error instanceof StoreError)) throw error;
    refusal = error;
  }
}
const stillThere = (await store.judgements()).length;
await store.close();
process.stdout.write(JSON.stringify({ kept, stillThere, code: refusal.code, message: refusal.message }));
