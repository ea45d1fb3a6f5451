import type { SettingsChange, Store } from "../ingest/index.ts";
import { CommandError } from "./commands/errors.ts";
import { DEFAULT_SETTINGS, type Settings, settingsSchema } from "./settings.ts";

/** Last instant of the day as of which a question is asked. */
function endOf(asOf: string): number {
  return Date.parse(asOf) + 86_400_000 - 1;
}

/** The settings in force at the end of a day (UTC), and who set them; the defaults where nobody has. */
export async function settingsInForce(
  store: Store,
  asOf: string,
): Promise<{ settings: Settings; change: SettingsChange | null }> {
  const change = (await store.settingsChanges()).findLast(({ setAtMs }) => setAtMs <= endOf(asOf)) ?? null;
  // A setting that came later than the change keeps its default.
  return {
    settings: change ? mergeSettings(DEFAULT_SETTINGS, JSON.parse(change.settings)) : DEFAULT_SETTINGS,
    change,
  };
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
