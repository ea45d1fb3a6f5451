/** What other rooms may take from ingest. */

export { type Backup, backUp, type Restored, restore } from "./backup.ts";
export { copyStore } from "./copy-store.ts";
export { IngestError, StoreError } from "./errors.ts";
export { type HeldField, heldFields } from "./held/mended-record.ts";
export { type Acting, dismiss, reread } from "./held/reread.ts";
export { type IngestOptions, ingestPaths } from "./ingest-paths.ts";
export { type SuggestedProfile, suggestProfile } from "./profile/suggest/suggest-profile.ts";
export type { Progress } from "./progress.ts";
export type { FileReport, HeldExample, IngestReport } from "./report.ts";
export * from "./store/accounts.ts";
export * from "./store/booking-rows.ts";
export * from "./store/findings.ts";
export { flagBits, flagsOf } from "./store/flag-bits.ts";
export { byHand, type Hand, handAtWork } from "./store/hand.ts";
export * from "./store/held.ts";
export * from "./store/kept.ts";
export * from "./store/notice-outbox.ts";
export { openStore } from "./store/open-store.ts";
export * from "./store/store.ts";
export * from "./store/trail.ts";
