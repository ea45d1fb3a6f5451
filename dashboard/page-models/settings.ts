import type { BudgetCost } from "../../analysis/index.ts";
import { DAY_MS } from "../assessment/days.ts";
import type { SettingsPreview } from "../assessment/settings-preview.ts";
import { differencesOf, GEOMETRY_FIELD, rangeOf, type SettingRange, valueAt } from "../setting-fields.ts";
import { DEFAULT_SETTINGS, type Settings } from "../settings.ts";
import type { DatedSettings } from "../settings-in-force.ts";
import {
  LISTED_SETTINGS,
  SETTING_GROUPS,
  type SettingGroup,
  type SettingWords,
} from "../wording/settings.ts";

/** What the page of the settings says. Days count from 1970-01-01 UTC. */
export interface SettingsPage {
  readonly asOf: string;
  /** null: the defaults, which nobody has set. */
  readonly lastChange: SettingsMoment | null;
  readonly settings: Settings;
  readonly groups: readonly { readonly group: SettingGroup; readonly rows: readonly SettingRow[] }[];
  readonly listed: readonly SettingRow[];
  /** Known geometries with their own rule, if any. */
  readonly geometries: readonly { readonly name: string; readonly rule: GeometryRule | undefined }[];
  /** Newest first. */
  readonly history: readonly (SettingsMoment & {
    readonly before: Settings;
    readonly after: Settings;
    readonly paths: readonly string[];
  })[];
  readonly costs: readonly BudgetCost[] | null;
  /** What somebody asks for; null: nothing is asked. */
  readonly proposal: SettingsProposal | null;
  /** Why what was typed cannot be; null: it can. */
  readonly refusal: string | null;
  /** As typed, by place. */
  readonly typed: ReadonlyMap<string, string>;
  /** Whether settings may hold from an earlier day: only a store's first ones. */
  readonly mayDateBack: boolean;
  /** How many changes there were: a form that was filled in before another change is not taken. */
  readonly changes: number;
}

type GeometryRule = Settings["tolerance"]["per_geometry"][string];

export interface SettingsMoment {
  readonly setOnDay: number;
  readonly heldFromDay: number;
  readonly by: string;
  readonly why: string | null;
}

export interface SettingsProposal {
  readonly settings: Settings;
  readonly paths: readonly string[];
  readonly preview: SettingsPreview;
}

export interface SettingRow {
  readonly words: SettingWords;
  readonly value: unknown;
  readonly default: unknown;
  readonly range: SettingRange | null;
  /** Who changed it last; null: nobody. */
  readonly changed: SettingsMoment | null;
}

export interface SettingsFacts {
  readonly asOf: string;
  readonly overTime: readonly DatedSettings[];
  readonly geometries: readonly string[];
  readonly costs: readonly BudgetCost[] | null;
  readonly proposal: SettingsProposal | null;
  readonly refusal: string | null;
  readonly typed: ReadonlyMap<string, string>;
}

/** The settings in force, setting by setting, with how they came to be. */
export function settingsPage(facts: SettingsFacts): SettingsPage {
  const { overTime } = facts;
  const { settings } = overTime.at(-1)!;
  const history = overTime.slice(1).map((entry, i) => {
    const before = overTime[i]!.settings;
    return {
      ...momentOf(entry),
      before,
      after: entry.settings,
      paths: differencesOf(before, entry.settings),
    };
  });
  const row = (words: SettingWords): SettingRow => ({
    words,
    value: valueAt(settings, words.path),
    default: valueAt(DEFAULT_SETTINGS, words.path),
    range: rangeOf(words.path),
    changed: history.findLast(({ paths }) => paths.includes(words.path)) ?? null,
  });
  const { per_geometry: rules } = settings.tolerance;
  const names = [...new Set([...facts.geometries, ...Object.keys(rules)])].sort();
  return {
    asOf: facts.asOf,
    lastChange: history.at(-1) ?? null,
    settings,
    groups: SETTING_GROUPS.map((group) => ({ group, rows: group.settings.map(row) })),
    listed: LISTED_SETTINGS.map(row),
    geometries: names.map((name) => ({ name, rule: rules[name] })),
    history: history.toReversed(),
    costs: facts.costs,
    proposal: facts.proposal,
    refusal: facts.refusal,
    typed: facts.typed,
    mayDateBack: history.length === 0,
    changes: history.length,
  };
}

function momentOf({ change, fromMs }: DatedSettings): SettingsMoment {
  const { setAtMs, by, why } = change!;
  return { setOnDay: setAtMs / DAY_MS, heldFromDay: fromMs / DAY_MS, by, why };
}

/** Every setting flat, for JSON and CSV. */
export function settingFigures(page: SettingsPage) {
  const rows = [...page.groups.flatMap(({ rows }) => rows), ...page.listed];
  const flat = (value: unknown) =>
    typeof value === "object" ? JSON.stringify(value) : (value as string | number | boolean);
  return [
    ...rows.map(({ words, value, default: usual, changed }) => ({
      setting: words.path,
      value: flat(value),
      default: flat(usual),
      changed_by: changed?.by ?? null,
      why: changed?.why ?? null,
    })),
    ...page.geometries.flatMap(({ name, rule }) =>
      rule === undefined
        ? []
        : [
            {
              setting: `${GEOMETRY_FIELD}${name}`,
              value: flat(rule),
              default: null,
              changed_by: null,
              why: null,
            },
          ],
    ),
  ];
}

/** The page for programs: the settings as `springtide settings --json` has them, their history, and a proposal. */
export function settingsReport(page: SettingsPage) {
  return {
    as_of: page.asOf,
    settings: page.settings,
    changes: page.history.map(({ setOnDay, heldFromDay, by, why, paths }) => ({
      set_on: isoDay(setOnDay),
      held_from: isoDay(heldFromDay),
      by,
      why,
      settings: paths,
    })),
    proposal: page.proposal && {
      settings: page.proposal.settings,
      differs_in: page.proposal.paths,
      preview: page.proposal.preview,
    },
    refusal: page.refusal,
  };
}

function isoDay(day: number): string {
  return new Date(day * DAY_MS).toISOString().slice(0, 10);
}
