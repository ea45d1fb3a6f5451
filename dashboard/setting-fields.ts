import { z } from "zod";
import { CommandError } from "./commands/errors.ts";
import { type Settings, settingsSchema } from "./settings.ts";
import { mergeSettings } from "./settings-in-force.ts";
import { EVERY_SETTING, type SettingWords } from "./wording/settings.ts";

/** Settings one by one, by their place: read, written from a form, held beside each other. */

interface Schema {
  readonly type?: string;
  readonly enum?: readonly string[];
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly exclusiveMaximum?: number;
  readonly properties?: Readonly<Record<string, Schema>>;
}

const SCHEMA = z.toJSONSchema(settingsSchema, { io: "input" }) as Schema;

/** What a setting may be: the ends of its range, and whether they belong to it. */
export interface SettingRange {
  readonly least: number;
  readonly leastBelongs: boolean;
  readonly most: number;
  readonly mostBelongs: boolean;
}

/** The range of a number; null for what is none. */
export function rangeOf(path: string): SettingRange | null {
  let schema: Schema | undefined = SCHEMA;
  for (const name of path.split(".")) schema = schema?.properties?.[name];
  if (schema?.type !== "number" && schema?.type !== "integer") return null;
  const { minimum, maximum, exclusiveMinimum, exclusiveMaximum } = schema;
  return {
    least: exclusiveMinimum ?? minimum!,
    leastBelongs: exclusiveMinimum === undefined,
    most: exclusiveMaximum ?? maximum!,
    mostBelongs: exclusiveMaximum === undefined,
  };
}

/** The value at a place such as "temperature.allowed_k". */
export function valueAt(settings: Settings, path: string): unknown {
  let value: unknown = settings;
  for (const name of path.split(".")) value = (value as Record<string, unknown>)[name];
  return value;
}

/** Part of a geometry's own tolerance, by the name of its field. */
const SHARES = ["fluid_percent", "instrument_percent", "accessory_percent"] as const;
export const GEOMETRY_FIELD = "tolerance.per_geometry.";

/**
 * The settings that a form asks for: what it names is put in the place of what is in force.
 *
 * @param fields Values as typed, by place; shares are typed in percent. An empty one leaves things as they are, for a
 *   geometry as the general rule has them.
 * @throws {CommandError} one line that names the setting and its range.
 */
export function settingsFromForm(settings: Settings, fields: ReadonlyMap<string, string>): Settings {
  let changed = settings;
  for (const words of EVERY_SETTING) {
    const text = fields.get(words.path);
    if (text === undefined || text === "") continue;
    const value = typed(words, text, valueAt(settings, words.path));
    changed = mergeSettings(
      changed,
      words.path.split(".").reduceRight<unknown>((v, name) => ({ [name]: v }), value),
    );
  }
  const perGeometry = geometriesFrom(settings, fields);
  return perGeometry === null
    ? changed
    : mergeSettings(changed, { tolerance: { per_geometry: perGeometry } });
}

function typed({ label, isShare }: SettingWords, text: string, before: unknown): unknown {
  if (typeof before === "boolean") return text === "true";
  if (typeof before === "string") return text;
  const value = numberTyped(label, text);
  // Ten digits: a percentage is kept as the share that it was meant to be.
  return isShare ? Number((value / 100).toPrecision(10)) : value;
}

function numberTyped(label: string, text: string): number {
  const value = Number(text.replace(",", "."));
  if (!Number.isFinite(value)) throw new CommandError(`${label}: \u201c${text}\u201d is no number.`);
  return value;
}

function geometriesFrom(
  settings: Settings,
  fields: ReadonlyMap<string, string>,
): Record<string, Record<string, unknown>> | null {
  const rules: Record<string, Record<string, unknown>> = structuredClone(settings.tolerance.per_geometry);
  let isNamed = false;
  for (const [field, text] of fields) {
    if (!field.startsWith(GEOMETRY_FIELD)) continue;
    isNamed = true;
    const at = field.lastIndexOf(".");
    const geometry = field.slice(GEOMETRY_FIELD.length, at);
    const name = field.slice(at + 1);
    const rule = Object.hasOwn(rules, geometry) ? rules[geometry]! : {};
    if (text === "") delete rule[name];
    else
      rule[name] = SHARES.some((share) => share === name) ? numberTyped(`${geometry}, ${name}`, text) : text;
    if (Object.keys(rule).length > 0) rules[geometry] = rule;
    else delete rules[geometry];
  }
  return isNamed ? rules : null;
}

/** Places at which two settings differ, a geometry's rule as one. */
export function differencesOf(a: Settings, b: Settings): string[] {
  const paths = EVERY_SETTING.map(({ path }) => path).filter(
    (path) => JSON.stringify(valueAt(a, path)) !== JSON.stringify(valueAt(b, path)),
  );
  const [of, and] = [a.tolerance.per_geometry, b.tolerance.per_geometry];
  const geometries = [...new Set([...Object.keys(of), ...Object.keys(and)])].sort();
  return [
    ...paths,
    ...geometries
      .filter((name) => JSON.stringify(of[name]) !== JSON.stringify(and[name]))
      .map((name) => `${GEOMETRY_FIELD}${name}`),
  ];
}
