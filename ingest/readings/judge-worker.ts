import { once } from "node:events";
import { parentPort, workerData } from "node:worker_threads";
import { IngestError } from "../errors.ts";
import type { OpenedFile } from "../open-file.ts";
import type { KeptWay } from "../store/held.ts";
import type { Registers } from "../store/store.ts";
import { wayOf } from "../way-of-reading.ts";
import { readingContext } from "./draft.ts";
import { judgeHere } from "./judge-file.ts";
import type { JudgedBatch } from "./judged-batch.ts";
import { RangeConstants, type RangesLearnt } from "./range-constants.ts";

/** A file of readings for another thread to read and judge. */
export interface JudgeOrder {
  readonly file: Pick<OpenedFile, "path" | "bytes" | "sha256" | "encoding" | "form">;
  readonly way: KeptWay;
  readonly ranges: RangesLearnt;
  readonly registers: Registers;
  readonly nowMs: number;
}

/** What the thread tells, in this order: batches, then how it ended. */
export type JudgeNews =
  | { readonly batch: JudgedBatch; readonly bytes: number }
  | { readonly ended: true }
  | { readonly refused: { readonly code: string; readonly message: string } };

/** Batches that may wait to be taken: enough for neither thread to stand still, and few enough for the memory. */
const AHEAD = 4;

const port = parentPort!;
const { file, way, ranges, registers, nowMs } = workerData as JudgeOrder;
const opened: OpenedFile = { ...wayOf(way), ...file };
const context = readingContext(opened, new RangeConstants(ranges), registers, nowMs);

let ahead = 0;
port.on("message", () => {
  ahead--;
});

try {
  let bytes = 0;
  for await (const batch of judgeHere(opened, context, (count) => {
    bytes += count;
  })) {
    const news: JudgeNews = { batch, bytes };
    port.postMessage(news, buffersOf(batch));
    bytes = 0;
    ahead++;
    while (ahead >= AHEAD) await once(port, "message");
  }
  port.postMessage({ ended: true } satisfies JudgeNews);
} catch (error) {
  if (!(error instanceof IngestError)) throw error;
  port.postMessage({ refused: { code: error.code, message: error.message } } satisfies JudgeNews);
}

/** What is handed over, not copied. */
function buffersOf({ sound, places }: JudgedBatch): ArrayBuffer[] {
  return [...Object.values(sound), ...Object.values(places)].flatMap((column) =>
    ArrayBuffer.isView(column) && column.buffer instanceof ArrayBuffer ? [column.buffer] : [],
  );
}
