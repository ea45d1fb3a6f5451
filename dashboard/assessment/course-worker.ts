import { parentPort, workerData } from "node:worker_threads";
import { openStore } from "../../ingest/index.ts";
import { fleetCourse } from "./fleet-course.ts";

export interface CourseOrder {
  readonly storeUrl: string;
  readonly asOf: string;
}

const { storeUrl, asOf } = workerData as CourseOrder;
const store = await openStore(storeUrl);
try {
  parentPort?.postMessage(
    await fleetCourse(store, asOf, (done, of) => parentPort?.postMessage({ news: { done, of } })),
  );
} finally {
  await store.close();
}
