import type { FindingDecisionKind, Store } from "../../ingest/index.ts";
import { isoOfDay } from "./days.ts";
import { windowReport } from "./out-findings.ts";
import type { FindingView } from "./service-desk.ts";

/** What somebody decides about a unit that was found out. */
export interface FindingOrder {
  readonly by: string;
  readonly why: string;
  /** null: the finding is recorded, and nothing decided yet. */
  readonly decision: FindingDecisionKind | null;
}

/** Records the finding where nobody has yet, and the decision where one was made. */
export async function keepFinding(
  { store, now }: { readonly store: Store; readonly now: () => number },
  { found, since, record }: FindingView,
  { by, why, decision }: FindingOrder,
): Promise<void> {
  const number =
    record?.id ??
    (await store.openFinding({
      instrument: found.instrument,
      foundOn: isoOfDay(found.servicedDay ?? found.foundDay),
      openedAtMs: now(),
      by,
      why,
      window: JSON.stringify(windowReport(since)),
    }));
  if (decision !== null) await store.decideFinding(number, { decidedAtMs: now(), by, decision, why });
}
