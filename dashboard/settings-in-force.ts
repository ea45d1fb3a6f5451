import type { SettingsChange, Store } from "../ingest/index.ts";
import { CommandError } from "./commands/errors.ts";
import { DEFAULT_SETTINGS, type Settings, settingsSchema } from "./settings.ts";

const DAY_MS = 86_400_000;

/** Settings with the instant from which they hold; minus infinity for the defaults that came before any. */
export interface DatedSettings {
  readonly fromMs: number;
  readonly settings: Settings;
  /** null: the defaults, which nobody has set. */
  readonly change: SettingsChange | null;
}

/**
 * Everything that ever was in force, oldest first: a check is judged by what was in force when it was made.
 *
 * @param asOf ISO day; what was to hold only after its end (UTC) is left out.
 */
export async function settingsOverTime(store: Store, asOf: string): Promise<readonly DatedSettings[]> {
  const end = Date.parse(asOf) + DAY_MS - 1;
  const changes = (await store.settingsChanges()).map((change) => ({
    fromMs: change.fromDay === null ? change.setAtMs : Date.parse(change.fromDay),
    // A setting that came later than the change keeps its default.
    settings: mergeSettings(DEFAULT_SETTINGS, JSON.parse(change.settings)),
    change,
  }));
  return [
    { fromMs: Number.NEGATIVE_INFINITY, settings: DEFAULT_SETTINGS, change: null },
    ...changes.filter(({ fromMs }) => fromMs <= end),
  ];
}

/** The settings in force at the end of a day (UTC), and who set them; the defaults where nobody has. */
export async function settingsInForce(
  store: Store,
  asOf: string,
): Promise<{ settings: Settings; change: SettingsChange | null }> {
  const { settings, change } = (await settingsOverTime(store, asOf)).at(-1)!;
  return { settings, change };
}

/** Who puts settings in force, when, why, and from which day on; null: from now. */
export interface SettingsDecision {
  readonly nowMs: number;
  readonly by: string;
  readonly why: string | null;
  readonly fromDay: string | null;
}

/**
 * Puts settings in force and keeps who did so, when and why. Earlier checks stay as they were judged.
 *
 * @throws {CommandError} where they are to hold from a day before now although others had been set by then.
 */
export async function putInForce(
  store: Store,
  settings: Settings,
  { nowMs, by, why, fromDay }: SettingsDecision,
): Promise<void> {
  if (fromDay !== null && Date.parse(fromDay) > nowMs) {
    throw new CommandError(
      `Settings hold from now or from a day that has come; ${fromDay} is still to come.`,
    );
  }
  if (fromDay !== null && !(await mayDateBack(store))) {
    throw new CommandError(
      "Only the first settings of a store may hold from an earlier day: later checks have been judged by others since.",
    );
  }
  await store.changeSettings({ setAtMs: nowMs, by, why, fromDay, settings: JSON.stringify(settings) });
}

/** Whether settings may still be dated back: until somebody has set any, the defaults were nobody's decision. */
export async function mayDateBack(store: Store): Promise<boolean> {
  return (await store.settingsChanges()).length === 0;
}

/**
 * Puts some settings in force, the others left as they are.
 *
 * @param part Some of the settings, nested as in the whole.
 * @throws {CommandError} naming the setting that does not exist, or whose value is outside its range.
 */
export function mergeSettings(settings: Settings, part: unknown): Settings {
  if (!isObject(part))
    throw new CommandError("The settings must be a JSON object with some of the settings.");
  return checkSettings(merge(settings, part));
}

function merge(
  settings: Readonly<Record<string, unknown>>,
  part: Readonly<Record<string, unknown>>,
): Record<string, unknown> {
  const merged: Record<string, unknown> = { ...settings };
  for (const [name, value] of Object.entries(part)) {
    const before = Object.hasOwn(settings, name) ? settings[name] : undefined;
    // A geometry's own shares are one rule: they are replaced as a whole.
    merged[name] =
      name !== "per_geometry" && isObject(value) && isObject(before) ? merge(before, value) : value;
  }
  return merged;
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function checkSettings(settings: unknown): Settings {
  const { data, error } = settingsSchema.safeParse(settings);
  if (data) return data;
  const [issue] = error.issues;
  const place = issue!.path.join(".");
  if (issue!.code === "unrecognized_keys") {
    const name = [place, issue!.keys[0]].filter((part) => part !== "").join(".");
    throw new CommandError(`There is no setting "${name}": springtide settings lists those there are.`);
  }
  throw new CommandError(`The setting ${place} cannot be so: ${rangeOf(issue!)}.`);
}

type Issue = NonNullable<ReturnType<typeof settingsSchema.safeParse>["error"]>["issues"][number];

function rangeOf(issue: Issue): string {
  switch (issue.code) {
    case "too_small":
      return `it must be ${issue.inclusive ? "at least" : "above"} ${issue.minimum}`;
    case "too_big":
      return `it must be ${issue.inclusive ? "at most" : "below"} ${issue.maximum}`;
    case "invalid_value":
      return `it must be one of ${issue.values.map(String).join(", ")}`;
    case "invalid_type":
      return `it must be ${{ number: "a number", boolean: "true or false", object: "an object", record: "an object" }[issue.expected as string] ?? issue.expected}`;
    default:
      return issue.message;
  }
}
