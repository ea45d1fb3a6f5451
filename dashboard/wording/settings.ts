import type { SettingRange } from "../setting-fields.ts";
import type { Settings } from "../settings.ts";

/** What every setting is called, what its default rests on, and what may be set. */

export interface SettingWords {
  /** Its place in the settings, as `springtide settings --json` has it. */
  readonly path: string;
  readonly label: string;
  /** Stands after the value; empty where there is none. */
  readonly unit: string;
  /** Why the default is what it is. */
  readonly reason: string;
  /** Entered and shown in percent, kept as a share. */
  readonly isShare?: boolean;
  /** What the values of a choice are called. */
  readonly choices?: Readonly<Record<string, string>>;
}

export interface SettingGroup {
  readonly id: string;
  readonly title: string;
  readonly text: string;
  /** The entry that says how it is figured. */
  readonly figured?: string;
  readonly settings: readonly SettingWords[];
}

const COMMON = "Common practice, no source.";
const OWN = "Our own choice.";

export const COMBINE_LABEL = { linear: "added", "root-sum-square": "root of the sum of squares" } as const;

export const SETTING_GROUPS: readonly SettingGroup[] = [
  {
    id: "tolerance",
    figured: "error-over-tolerance",
    title: "Tolerance",
    text: "How far a reading may be from the fluid\u2019s certified value. It is a requirement: your procedure sets it, not what the units happen to do.",
    settings: [
      {
        path: "tolerance.fluid_percent",
        label: "Fluid",
        unit: "% of its value",
        reason: COMMON,
      },
      {
        path: "tolerance.instrument_percent",
        label: "Instrument",
        unit: "% of full scale",
        reason: COMMON,
      },
      {
        path: "tolerance.accessory_percent",
        label: "Accessory",
        unit: "% of full scale",
        reason: `${COMMON} 0 where none is fitted.`,
      },
      {
        path: "tolerance.combine",
        label: "Put together",
        unit: "",
        reason:
          "Added, they are an agreed limit for the worst case; the root of the sum of squares is a statement on independent uncertainties (JCGM 100:2008, 5.1.2).",
        choices: COMBINE_LABEL,
      },
    ],
  },
  {
    id: "temperature",
    figured: "fluid-temperature",
    title: "Temperature",
    text: "How far the fluid may be from its certificate\u2019s temperature for a reading to count.",
    settings: [
      {
        path: "temperature.reference_c",
        label: "Where the certificate names none",
        unit: "°C",
        reason: COMMON,
      },
      {
        path: "temperature.allowed_k",
        label: "May be off by",
        unit: "K",
        reason: `0.2${"\u202f"}K change the value of a silicone fluid by 0.4${"\u202f"}%, that of a mineral oil by 1 to 2${"\u202f"}%. ${COMMON}`,
      },
      {
        path: "temperature.correct",
        label: "Verdicts corrected to the certificate\u2019s temperature",
        unit: "",
        reason:
          "Off, since most procedures judge the reading as it was read. It takes the fluid\u2019s measured temperature, its own coefficient, and half a kelvin at most.",
        choices: { false: "no", true: "yes" },
      },
    ],
  },
  {
    id: "alarms",
    title: "False alarms",
    text: "How many signals of the control charts may come from nothing but chance. Fewer of them, and what really happens is signalled later.",
    settings: [
      {
        path: "alarms.per_month_per_100_units",
        label: "False alarms",
        unit: "a month for every 100 units",
        reason: `What a person can follow up. A fleet has at least one a month and at most ten. ${COMMON}`,
      },
    ],
  },
  {
    id: "reliability",
    figured: "earned-interval",
    title: "Reliability target",
    text: "The share of units that are to be within tolerance when they come back for service. Return plans and earned intervals follow it.",
    settings: [
      {
        path: "reliability_target",
        label: "Within tolerance at the return",
        unit: "% of units",
        reason: "A common choice for the reliability at the end of an interval, no source.",
        isShare: true,
      },
    ],
  },
  {
    id: "frequency",
    figured: "checks-on-time",
    title: "How often to check",
    text: "Days from one check to the next, by how a unit is used. A check is late after one and a half times as long and a weekend. After a drop, a move, another accessory or an odd result: check at once.",
    settings: [
      {
        path: "check_every_days.several_shifts",
        label: "Used in several shifts a day",
        unit: "days",
        reason: `Daily. ${COMMON}`,
      },
      {
        path: "check_every_days.daily",
        label: "Used daily",
        unit: "days",
        reason: `Weekly. ${COMMON}`,
      },
      {
        path: "check_every_days.weekly",
        label: "Used weekly",
        unit: "days",
        reason: `Monthly. ${COMMON}`,
      },
      {
        path: "check_every_days.occasional",
        label: "Used now and then",
        unit: "days",
        reason: `Every three months. ${COMMON}`,
      },
    ],
  },
  {
    id: "planning",
    title: "Returns to service",
    text: "How return plans weigh risk against due dates. The page Returns holds plans beside each other before anything is set here.",
    settings: [
      {
        path: "planning.costs.out_at_return",
        label: "Cost of a unit found out of tolerance",
        unit: "",
        reason: `The measure for the other costs. ${OWN}`,
      },
      {
        path: "planning.costs.week_out",
        label: "Cost of a week used out of tolerance",
        unit: "",
        reason: `Without it, a unit that is out already would stay until its due date. ${OWN}`,
      },
      {
        path: "planning.costs.week_early",
        label: "Cost of a week early",
        unit: "",
        reason: `One week given away is worth 3${"\u202f"}% of risk. ${OWN}`,
      },
      {
        path: "planning.costs.week_late",
        label: "Cost of a week late",
        unit: "",
        reason: `Late only where there is no room. ${OWN}`,
      },
      {
        path: "planning.costs.shipment",
        label: "Cost of a shipment",
        unit: "",
        reason: `Worth sending two units together if they are under two weeks apart. ${OWN}`,
      },
      {
        path: "planning.spare_percent",
        label: "Away from a site at once",
        unit: "% of its units",
        reason: `One unit in five can be missed for a time; one always may. ${OWN}`,
      },
      {
        path: "planning.turnaround_weeks",
        label: "Away for",
        unit: "weeks",
        reason: `There, serviced and back. ${OWN}`,
      },
      {
        path: "planning.longest_interval_days",
        label: "Longest interval between services",
        unit: "days",
        reason: `A year. ${COMMON}`,
      },
    ],
  },
];

/** Settings that are lists: shown, and set by a file. */
export const LISTED_SETTINGS: readonly SettingWords[] = [
  {
    path: "planning.workshops",
    label: "Workshops",
    unit: "",
    reason: "None named: the page Returns asks how many units a week are taken in.",
  },
  {
    path: "planning.closed_weeks",
    label: "Closed weeks",
    unit: "",
    reason: "None.",
  },
  {
    path: "planning.criticality",
    label: "Units that weigh more than others",
    unit: "",
    reason: "None: every unit weighs 1.",
  },
];

export const EVERY_SETTING: readonly SettingWords[] = [
  ...SETTING_GROUPS.flatMap(({ settings }) => settings),
  ...LISTED_SETTINGS,
];

/** "above 0, at most 100". */
export function rangeText(words: SettingWords, range: SettingRange | null): string {
  if (range === null) return words.choices === undefined ? "" : Object.values(words.choices).join(" or ");
  const { least, leastBelongs, most, mostBelongs } = range;
  const shown = (value: number): string => plainNumber(words.isShare ? value * 100 : value);
  return `${leastBelongs ? "from" : "above"} ${shown(least)} ${mostBelongs ? "to" : "to below"} ${shown(most)}`;
}

/** A value as a reader sees it, with its unit. */
export function settingText(words: SettingWords, value: unknown): string {
  if (typeof value === "object" && value !== null) return listText(value);
  const text = words.choices?.[String(value)] ?? fieldText(words, value);
  if (words.unit === "" || words.choices !== undefined) return text;
  return `${text} ${value === 1 ? words.unit.replace(/^(day|week|month|unit)s$/, "$1") : words.unit}`;
}

/** A value as it is typed into a field. */
export function fieldText(words: SettingWords, value: unknown): string {
  if (typeof value !== "number") return String(value);
  return plainNumber(words.isShare ? value * 100 : value);
}

/** Without the tail of a binary fraction. */
function plainNumber(value: number): string {
  return String(Number(value.toPrecision(10)));
}

function listText(value: object): string {
  const entries = Object.entries(value);
  if (entries.length === 0) return "none";
  if (Array.isArray(value)) return value.map(itemText).join("; ");
  return entries.map(([name, one]) => `${name}: ${itemText(one)}`).join("; ");
}

function itemText(value: unknown): string {
  if (typeof value !== "object" || value === null) return String(value);
  return Object.entries(value)
    .map(
      ([name, one]) =>
        `${name.replaceAll("_", " ")} ${typeof one === "object" ? listText(one as object) : one}`,
    )
    .join(", ");
}

/** A geometry's own shares in words: "fluid 0.5 %, instrument 1 %". */
export function geometryText(rule: GeometryRule | undefined): string {
  if (rule === undefined) return "the general rule";
  return EVERY_SETTING.filter(({ path }) => path.startsWith("tolerance."))
    .flatMap((words) => {
      const value = rule[words.path.slice("tolerance.".length) as keyof GeometryRule];
      return value === undefined ? [] : [`${words.label.toLowerCase()} ${settingText(words, value)}`];
    })
    .join(", ");
}

type GeometryRule = Settings["tolerance"]["per_geometry"][string];

/** What one change did to one setting. */
export function changeText(path: string, before: Settings, after: Settings): string {
  if (path.startsWith(GEOMETRY_PLACE)) {
    const name = path.slice(GEOMETRY_PLACE.length);
    return `Tolerance with ${name}: ${geometryText(before.tolerance.per_geometry[name])} \u2192 ${geometryText(after.tolerance.per_geometry[name])}`;
  }
  const words = EVERY_SETTING.find((one) => one.path === path)!;
  const group = SETTING_GROUPS.find(({ settings }) => settings.includes(words));
  return `${group === undefined ? "" : `${group.title}, `}${words.label.toLowerCase()}: ${settingText(words, at(before, path))} \u2192 ${settingText(words, at(after, path))}`;
}

const GEOMETRY_PLACE = "tolerance.per_geometry.";

function at(settings: Settings, path: string): unknown {
  return path.split(".").reduce<unknown>((value, name) => (value as Record<string, unknown>)[name], settings);
}
