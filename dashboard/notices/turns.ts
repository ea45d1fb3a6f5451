import type { FleetAssessment } from "../../analysis/index.ts";
import type { KnownState, NoticeEvent } from "../../ingest/index.ts";

/** A unit or a lot whose state is another than it was. */
export interface Turn extends KnownState {
  /** null: it was not known before. */
  readonly before: string | null;
}

/** States that people are told of at once, the worse the higher; every other one counts 0. */
const ALARM: Readonly<Record<KnownState["subject"], Readonly<Record<string, number>>>> = {
  unit: { "heading-out": 1, out: 2 },
  lot: { doubtful: 1, unsound: 2 },
};

/** Of one unit and one state people are told at once no more often than this; then it is in the digest. Unit: ms. */
export const QUIET_MS = 14 * 86_400_000;

/** How every unit and every lot stands. */
export function statesOf({ units, lots }: Pick<FleetAssessment, "units" | "lots">): KnownState[] {
  return [
    ...units.map(({ instrument, state }): KnownState => ({ subject: "unit", name: instrument, state })),
    ...lots.map(({ fluidLot, verdict }): KnownState => ({ subject: "lot", name: fluidLot, state: verdict })),
  ];
}

/** What turned between what was known and what is found now. */
export function turnsBetween(known: readonly KnownState[], now: readonly KnownState[]): Turn[] {
  const before = new Map(known.map((state) => [keyOf(state), state.state]));
  return now.flatMap((state) => {
    const was = before.get(keyOf(state)) ?? null;
    return was === state.state ? [] : [{ ...state, before: was }];
  });
}

/** Whether a turn is news at all: into a state of alarm, or out of one. */
export function isNews({ subject, before, state }: Turn): boolean {
  return alarmOf(subject, state) > 0 || alarmOf(subject, before) > 0;
}

/**
 * Whether people are told of it at once: it is worse than before, and nobody was told the same within {@link QUIET_MS}.
 *
 * @param lately Events since then.
 */
export function isToldAtOnce(turn: Turn, lately: readonly NoticeEvent[]): boolean {
  const { subject, name, before, state } = turn;
  if (alarmOf(subject, state) <= alarmOf(subject, before)) return false;
  return !lately.some(
    (event) => event.atOnce && event.subject === subject && event.name === name && event.state === state,
  );
}

function alarmOf(subject: KnownState["subject"], state: string | null): number {
  return state === null ? 0 : (ALARM[subject][state] ?? 0);
}

function keyOf({ subject, name }: KnownState): string {
  return `${subject} ${name}`;
}
