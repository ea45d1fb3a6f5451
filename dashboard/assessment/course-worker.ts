import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { fleetCourse } from "./fleet-course.ts";

export interface CourseOrder {
  readonly storeUrl: string;
  /** Last days of the months, and how many readings there were by then. */
  readonly ends: readonly string[];
  readonly readings: readonly number[];
}

const { storeUrl, ends, readings } = workerData as CourseOrder;
const store = await openStore(storeUrl);
try {
  parentPort?.postMessage(
    await fleetCourse(store, ends, readings, (done, of) => parentPort?.postMessage({ news: { done, of } })),
  );
} finally {
  await store.close();
}
