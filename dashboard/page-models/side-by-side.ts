import { compareLinearity, type LinearityDifference, USE } from "../../analysis/index.ts";
import { dayOfIso, isoOfDay } from "../assessment/days.ts";
import { type LinearityFound, linearityOfReadings } from "../assessment/unit-linearity.ts";
import type { LinearityView, UnitReading, UnitView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import type { FigureRow } from "../tables/csv.ts";

/** What of a unit is laid beside others: its present life, or the checks between two days, of all lots or of one. */
export interface Choice {
  readonly instrument: string;
  readonly fromDay: number | null;
  readonly toDay: number | null;
  readonly fluidLot: string | null;
}

/** One choice with what its checks say. */
export interface Side {
  readonly choice: Choice;
  /** null: its checks carry no line. */
  readonly fit: LinearityView | null;
  readonly points: readonly { readonly torque: number; readonly error: number }[];
  readonly tolerance: UnitView["toleranceAlongTorque"];
  /** Against the first side; null for the first itself, and where one of the two has no line. */
  readonly difference: LinearityDifference | null;
}

export interface SideBySidePage {
  readonly asOf: string;
  readonly sides: readonly Side[];
  /** Lives and lots of the units shown, to choose from. */
  readonly offers: readonly { readonly choice: Choice; readonly kind: "life" | "lot" }[];
  /** Where the pictures end above and below. Unit: % of full scale. */
  readonly reach: number;
}

export const MOST_SIDES = 4;

/** "P-0153", "P-0153~2025-01-01..2025-06-30", "P-0153~2025-01-01..~SI-04": day, day and lot may be left out. */
const WRITTEN = /^(.+?)(?:~(\d{4}-\d{2}-\d{2})?\.\.(\d{4}-\d{2}-\d{2})?(?:~(.+))?)?$/s;

/** @throws {HttpError} 400 for what cannot be read, and for more than four. */
export function readChoices(query: Readonly<Record<string, unknown>>): Choice[] {
  const texts = [query.of].flat().filter((text): text is string => typeof text === "string" && text !== "");
  const one = (key: string) => {
    const value = query[key];
    return typeof value === "string" ? value.trim() : "";
  };
  const choices = texts.map(readChoice);
  if (one("unit") !== "") {
    choices.push(
      readChoice(`${one("unit")}~${one("from")}..${one("to")}${one("lot") === "" ? "" : `~${one("lot")}`}`),
    );
  }
  if (choices.length > MOST_SIDES) {
    throw new HttpError(400, "Four can be laid side by side.", "Take one away first.");
  }
  return choices;
}

function readChoice(text: string): Choice {
  const match = WRITTEN.exec(text);
  const day = (iso: string | undefined) => (iso === undefined ? null : dayOfIso(iso));
  const [fromDay, toDay] = [day(match?.[2]), day(match?.[3])];
  if (match === null || Number.isNaN(fromDay ?? 0) || Number.isNaN(toDay ?? 0)) {
    throw new HttpError(
      400,
      `"${text}" cannot be read.`,
      "Write a unit, and days like 2026-03-31 where not its present life is meant.",
    );
  }
  return { instrument: match[1]!, fromDay, toDay, fluidLot: match[4] ?? null };
}

export function choiceText({ instrument, fromDay, toDay, fluidLot }: Choice): string {
  if (fromDay === null && toDay === null && fluidLot === null) return instrument;
  const days = `${fromDay === null ? "" : isoOfDay(fromDay)}..${toDay === null ? "" : isoOfDay(toDay)}`;
  return `${instrument}~${days}${fluidLot === null ? "" : `~${fluidLot}`}`;
}

export function sideBySideAddress(choices: readonly Choice[]): string {
  const words = new URLSearchParams(choices.map((choice) => ["of", choiceText(choice)]));
  return choices.length === 0 ? "/side-by-side" : `/side-by-side?${words}`;
}

/** @param views Of the units chosen, in the order of the choices. */
export function sideBySide(
  asOf: string,
  choices: readonly Choice[],
  views: readonly UnitView[],
): SideBySidePage {
  const found = choices.map((choice, i) => {
    const readings = chosen(views[i]!, choice);
    return { choice, readings, line: linearityOfReadings(readings), view: views[i]! };
  });
  const first = found[0]?.line ?? null;
  const sides = found.map(
    ({ choice, readings, line, view }, i): Side => ({
      choice,
      fit: line?.view ?? null,
      points: readings.map((reading) => ({ torque: reading.torque, error: ownError(reading) })),
      tolerance: view.toleranceAlongTorque,
      difference: i === 0 ? null : differenceOf(first, line),
    }),
  );
  const errors = sides.flatMap(({ points, tolerance }) => [
    ...points.map(({ error }) => Math.abs(error)),
    ...tolerance.tolerance.map((limit) => 1.15 * limit),
  ]);
  return { asOf, sides, offers: [...new Set(views)].flatMap(offersOf), reach: Math.max(1, ...errors) };
}

function differenceOf(
  first: LinearityFound | null,
  other: LinearityFound | null,
): LinearityDifference | null {
  return first === null || other === null ? null : compareLinearity(first.fit, other.fit);
}

/** Usable readings of the choice. */
function chosen({ readings, services, asOf }: UnitView, choice: Choice): UnitReading[] {
  const last = services.findLast(({ action }) => action !== "inspected");
  const presentLife = choice.fromDay === null && choice.toDay === null;
  const from = presentLife && last !== undefined ? dayOfIso(last.servicedAt) : (choice.fromDay ?? -Infinity);
  const to = (choice.toDay ?? dayOfIso(asOf)) + 1;
  return readings.filter(
    (reading) =>
      reading.use !== USE.shownOnly &&
      reading.day >= from &&
      reading.day < to &&
      (choice.fluidLot === null || reading.fluidLot === choice.fluidLot) &&
      !(presentLife && reading.stage === "as_found" && Math.floor(reading.day) === from),
  );
}

function ownError({ errorWithoutSharedCauses, error }: UnitReading): number {
  return errorWithoutSharedCauses ?? error;
}

function offersOf({ instrument: { instrument }, linearity }: UnitView): SideBySidePage["offers"] {
  const span = ({ fromDay, toDay }: LinearityView) => ({
    instrument,
    fromDay: Math.floor(fromDay),
    toDay: Math.floor(toDay),
  });
  return [
    ...linearity.lives.map((life) => ({ kind: "life" as const, choice: { ...span(life), fluidLot: null } })),
    ...linearity.fluids.map((lot) => ({
      kind: "lot" as const,
      choice: { ...span(lot), fluidLot: lot.fluidLot },
    })),
  ];
}

/** One side flat, for CSV and JSON. */
export function sideFigures({ choice, fit, difference }: Side): FigureRow {
  return {
    of: choiceText(choice),
    from: fit && isoOfDay(fit.fromDay),
    to: fit && isoOfDay(fit.toDay),
    checks: fit?.checks ?? 0,
    zero: fit?.zero ?? null,
    zero_se: fit?.zeroSe ?? null,
    span: fit?.span ?? null,
    span_se: fit?.spanSe ?? null,
    nonlinearity: fit?.nonlinearity ?? null,
    nonlinearity_se: fit?.nonlinearitySe ?? null,
    repeatability: fit?.repeatability ?? null,
    lack_of_fit_p: fit?.lackOfFitP ?? null,
    zero_against_first_p: difference?.zero.p ?? null,
    span_against_first_p: difference?.span.p ?? null,
    nonlinearity_against_first_p: difference?.nonlinearity?.p ?? null,
  };
}
