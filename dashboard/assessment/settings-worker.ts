import { parentPort, workerData } from "node:worker_threads";
import { type AlarmBudget, budgetCost } from "../../analysis/index.ts";
import { openStore } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import type { FleetRun } from "./assess-store.ts";
import { previewSettings } from "./settings-preview.ts";
import { BUDGET_FACTORS } from "./watch-store.ts";

/** Either what a change would do, or what budgets of false alarms cost. */
export type SettingsOrder =
  | {
      readonly preview: {
        readonly storeUrl: string;
        readonly asOf: string;
        readonly run: FleetRun;
        readonly proposed: Settings;
      };
    }
  | { readonly costs: { readonly budget: AlarmBudget } };

const order = workerData as SettingsOrder;
if ("costs" in order) parentPort?.postMessage(budgetCost(order.costs.budget, BUDGET_FACTORS));
else {
  const { storeUrl, asOf, run, proposed } = order.preview;
  const store = await openStore(storeUrl);
  try {
    parentPort?.postMessage(await previewSettings(store, asOf, run, proposed));
  } finally {
    await store.close();
  }
}
