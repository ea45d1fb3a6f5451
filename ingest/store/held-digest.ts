import { createHash } from "node:crypto";
import type { KeptWay } from "./held.ts";
import type { RowPlace } from "./store.ts";

/** What makes two held rows the same: their words, their place and the header above them, whatever the file is called. */
export function heldDigest({ line, column, part, raw }: RowPlace, header: KeptWay["header"]): string {
  return createHash("sha256")
    .update(`${line}\n${column}\n${part}\n${header.join("\x1f")}\n${raw}`)
    .digest("hex");
}
