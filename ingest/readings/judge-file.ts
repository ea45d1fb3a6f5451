import { on } from "node:events";
import { Worker } from "node:worker_threads";
import { IngestError } from "../errors.ts";
import type { OpenedFile } from "../open-file.ts";
import { readRows } from "../read-records.ts";
import type { Registers } from "../store/store.ts";
import { keptWay } from "../way-of-reading.ts";
import { type ReadingContext, readingContext } from "./draft.ts";
import type { JudgeNews, JudgeOrder } from "./judge-worker.ts";
import type { JudgedBatch } from "./judged-batch.ts";
import type { RangeConstants } from "./range-constants.ts";
import { ReadingJudge } from "./reading-judge.ts";

/** From so many bytes on a second thread judges, while this one stores: it takes a tenth of a second to start. */
const WORTH_A_THREAD_BYTES = 4 * 1_048_576;

/** Nothing of a row outlives its batch: more room for what is young only fills memory. Unit: MB. */
const YOUNG_MB = 8;

/** What the readings of a file are judged by. */
export interface JudgedBy {
  readonly ranges: RangeConstants;
  readonly registers: Registers;
  readonly nowMs: number;
}

/**
 * Reads and judges the readings of a file, some at a time.
 *
 * @param onBytes Told how many bytes of the file were read since the last call.
 * @throws {IngestError} where the file cannot be read to its end.
 */
export function judgeFile(
  file: OpenedFile,
  by: JudgedBy,
  onBytes: (count: number) => void,
): AsyncGenerator<JudgedBatch> {
  if (file.bytes >= WORTH_A_THREAD_BYTES) return judgeElsewhere(file, by, onBytes);
  return judgeHere(file, readingContext(file, by.ranges, by.registers, by.nowMs), onBytes);
}

/** The same on this thread. */
export async function* judgeHere(
  file: OpenedFile,
  context: ReadingContext,
  onBytes: (count: number) => void,
): AsyncGenerator<JudgedBatch> {
  const judge = new ReadingJudge(file, context);
  for await (const bytes of readRows(file, file.decimal, judge, onBytes)) {
    yield judge.batch(bytes, file.encoding);
  }
}

/** The same on another thread, which runs ahead by a few batches at most. */
async function* judgeElsewhere(
  file: OpenedFile,
  { ranges, registers, nowMs }: JudgedBy,
  onBytes: (count: number) => void,
): AsyncGenerator<JudgedBatch> {
  const { path, bytes, sha256, encoding, form } = file;
  const order: JudgeOrder = {
    file: { path, bytes, sha256, encoding, form },
    way: keptWay(file, []),
    ranges: ranges.learnt,
    registers,
    nowMs,
  };
  const worker = new Worker(new URL("./judge-worker.ts", import.meta.url), {
    workerData: order,
    resourceLimits: { maxYoungGenerationSizeMb: YOUNG_MB },
  });
  try {
    // Ends with an error of the thread, and with its end.
    for await (const [news] of on(worker, "message", { close: ["exit"] }) as AsyncIterable<[JudgeNews]>) {
      if ("refused" in news) throw new IngestError(news.refused.code, news.refused.message);
      if ("ended" in news) return;
      worker.postMessage("taken");
      onBytes(news.bytes);
      yield news.batch;
    }
    throw new Error(`the judging of ${path} ended early`);
  } finally {
    await worker.terminate();
  }
}
