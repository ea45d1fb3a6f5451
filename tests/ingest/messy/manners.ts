import type { Field, Row, Site } from "./network.ts";
import type { Habits } from "./slips.ts";

/** How one site writes its files. */
export interface Manner {
  readonly site: Site;
  readonly layout: "long" | "wide" | "nested" | "lines";
  readonly file: string;
  readonly encoding: "utf-8" | "utf-16le" | "utf-16be" | "windows-1252";
  readonly mark: boolean;
  readonly zipped: boolean;
  readonly lineEnd: string;
  readonly delimiter: string;
  readonly decimal: "." | ",";
  readonly quotesAll: boolean;
  /** Lacks what is said elsewhere. */
  readonly fields: readonly Field[];
  readonly header: (field: Field) => string;
  readonly time: (ms: number) => string;
  /** From the documented unit to the site's own. */
  readonly toSite: Partial<Record<Field, (value: number) => number>>;
  readonly stageWords: Readonly<Record<string, string>>;
  /** What lies beside the file so that it can be read; null where nothing is needed. */
  readonly profile: Readonly<Record<string, unknown>> | null;
  readonly habits: Omit<Habits, "now">;
}

const DOCUMENTED: Readonly<Record<Field, string>> = {
  instrument: "instrument",
  at: "checked_at",
  speed: "speed_rpm",
  reading: "reading_mpas",
  value: "fluid_value_mpas",
  range: "full_scale_range_mpas",
  torque: "torque_percent",
  temperature: "temperature_c",
  lot: "fluid_lot",
  geometry: "geometry",
  operator: "operator",
  checkId: "check_id",
  stage: "stage",
};
const ALL = Object.keys(DOCUMENTED) as Field[];
/** What differs between the readings of a check: numbered in the wide form. */
export const PER_READING: readonly Field[] = ["speed", "reading", "range", "torque"];

const NO_NUMBERS = ["n/a", "O.5", "1.2.3", "12 mPas", "--", "1e", "#REF!", "=B7"];
const BAD_TIMES = ["yesterday", "2025-02-30T10:00:00Z", "2025-13-01", "2025-03-04T25:10:00Z", "1767225600"];

const plain: Omit<Manner, "site" | "layout" | "file"> = {
  encoding: "utf-8",
  mark: false,
  zipped: false,
  lineEnd: "\n",
  delimiter: ",",
  decimal: ".",
  quotesAll: false,
  fields: ALL,
  header: (field) => DOCUMENTED[field],
  time: (ms) => new Date(ms).toISOString(),
  toSite: {},
  stageWords: {},
  profile: null,
  habits: { isLong: true, noNumbers: [...NO_NUMBERS, "95,6", "1,234.5"], badTimes: BAD_TIMES },
};

const GERMAN: Readonly<Record<Field, string>> = {
  instrument: "Gerät",
  at: "Zeit",
  speed: "Drehzahl [1/min]",
  reading: "Messwert [Pa·s]",
  value: "Sollwert [Pa·s]",
  range: "Messbereich [mPa·s]",
  torque: "Ausschlag %",
  temperature: "Temperatur",
  lot: "Charge",
  geometry: "Messsystem",
  operator: "Prüfer",
  checkId: "Nr.",
  stage: "Anlass",
};
const AMERICAN: Readonly<Record<Field, string>> = {
  instrument: "deviceSerial",
  at: "when",
  speed: "rpm",
  reading: "shown_cP",
  value: "standard_cP",
  range: "fsr_cP",
  torque: "torque",
  temperature: "bath_F",
  lot: "standardLot",
  geometry: "accessory",
  operator: "tech",
  checkId: "run",
  stage: "kind",
};
const SHORT: Readonly<Record<Field, string>> = {
  ...DOCUMENTED,
  instrument: "Unit No",
  at: "Date/Time",
  speed: "Turns per s",
  torque: "Torque (0-1)",
};

function columns(names: Readonly<Record<Field, string>>, numbers = 0): Record<string, string> {
  return Object.fromEntries(
    ALL.flatMap((field) => {
      if (names[field] === DOCUMENTED[field]) return [];
      if (numbers === 0 || !PER_READING.includes(field)) return [[names[field], DOCUMENTED[field]]];
      return Array.from({ length: numbers }, (_, i) => [
        `${names[field]} ${i + 1}`,
        `${DOCUMENTED[field]}_${i + 1}`,
      ]);
    }),
  );
}

/** The parts of a time on the clocks of a zone. */
function clock(ms: number, timeZone: string): Record<string, string> {
  const parts = new Intl.DateTimeFormat("en-GB", {
    timeZone,
    hourCycle: "h23",
    ...{
      year: "numeric",
      month: "2-digit",
      day: "2-digit",
      hour: "2-digit",
      minute: "2-digit",
      second: "2-digit",
    },
  }).formatToParts(ms);
  return Object.fromEntries(parts.map(({ type, value }) => [type, value]));
}

export const MANNERS: readonly Manner[] = [
  { ...plain, site: "Aldermoor", layout: "long", file: "checks.csv" },
  {
    ...plain,
    site: "Brackwater",
    layout: "long",
    file: "Prüfungen.csv",
    encoding: "windows-1252",
    lineEnd: "\r\n",
    delimiter: ";",
    decimal: ",",
    header: (field) => GERMAN[field],
    time: (ms) => {
      const { day, month, year, hour, minute, second } = clock(ms, "Europe/Berlin");
      return `${day}.${month}.${year} ${hour}:${minute}:${second}`;
    },
    toSite: { reading: (v) => v / 1000, value: (v) => v / 1000 },
    stageWords: { routine: "Regelprüfung", as_found: "vorher", as_left: "nachher" },
    profile: {
      name: "Brackwater",
      columns: columns(GERMAN),
      units: { reading_mpas: "Pa·s", fluid_value_mpas: "Pa.s" },
      decimal: ",",
      delimiter: ";",
      encoding: "windows-1252",
      dates: "dd.MM.yyyy HH:mm:ss",
      time_zone: "Europe/Berlin",
      constants: { site: "Brackwater" },
      stages: { Regelprüfung: "routine", Vorher: "as_found", Nachher: "as_left" },
    },
    habits: {
      isLong: true,
      noNumbers: [...NO_NUMBERS, "1.234,5", "ca. 5"],
      // The last one is left out when the clocks go forward.
      badTimes: ["31.02.2025 10:00:00", "02/28/2025 10:00:00", "gestern", "30.03.2025 02:30:00"],
    },
  },
  {
    ...plain,
    site: "Carrow",
    layout: "wide",
    file: "carrow.tsv",
    encoding: "utf-16le",
    mark: true,
    lineEnd: "\r\n",
    delimiter: "\t",
    decimal: ",",
    time: (ms) => new Date(ms).toISOString().slice(0, 19).replace("T", " "),
    habits: { isLong: false, noNumbers: [...NO_NUMBERS, "1.5"], badTimes: BAD_TIMES },
  },
  {
    ...plain,
    site: "Dunmere",
    layout: "nested",
    file: "dunmere.json.gz",
    mark: true,
    zipped: true,
    time: (ms) => new Date(ms + 3_600_000).toISOString().replace(".000Z", "+01:00"),
    habits: { isLong: false, noNumbers: [...NO_NUMBERS, "95,6"], badTimes: BAD_TIMES },
  },
  {
    ...plain,
    site: "Eastfold",
    layout: "lines",
    file: "eastfold.ndjson",
    lineEnd: "\r\n",
    header: (field) => AMERICAN[field],
    time: (ms) => {
      const { day, month, year, hour, minute } = clock(ms, "America/New_York");
      const half = Number(hour) < 12 ? "AM" : "PM";
      return `${month}/${day}/${year} ${String(Number(hour) % 12 || 12).padStart(2, "0")}:${minute} ${half}`;
    },
    toSite: { temperature: (v) => v * 1.8 + 32 },
    stageWords: { routine: "weekly", as_found: "incoming", as_left: "outgoing" },
    profile: {
      columns: columns(AMERICAN),
      units: {
        temperature_c: "[degF]",
        reading_mpas: "cP",
        fluid_value_mpas: "cP",
        full_scale_range_mpas: "cP",
      },
      dates: "MM/dd/yyyy hh:mm a",
      time_zone: "America/New_York",
      stages: { weekly: "routine", incoming: "as_found", outgoing: "as_left" },
    },
    habits: {
      isLong: true,
      noNumbers: NO_NUMBERS,
      badTimes: ["13/01/2025 10:00 AM", "02/30/2025 10:00 AM", "03/09/2025 02:30 AM", "noon"],
    },
  },
  {
    ...plain,
    site: "Farrow",
    layout: "wide",
    file: "farrow.txt",
    encoding: "utf-16be",
    lineEnd: "\r",
    delimiter: ";",
    quotesAll: true,
    header: (field) => SHORT[field],
    time: (ms) => new Date(ms).toISOString().slice(0, 16).replaceAll("-", "/").replace("T", " "),
    toSite: { speed: (v) => v / 60, torque: (v) => v / 100 },
    profile: {
      columns: columns(SHORT, 6),
      units: { speed_rpm: "1/s", torque_percent: "1" },
      dates: "yyyy/MM/dd HH:mm",
      constants: { site: "Farrow" },
    },
    habits: {
      isLong: false,
      noNumbers: [...NO_NUMBERS, "0,5"],
      badTimes: ["2025/02/30 10:00", "2025/13/01 10:00", "?"],
    },
  },
];

/** What a site writes into a field. */
export function textOf(manner: Manner, row: Row, field: Field): string {
  const written = row.written[field];
  if (written !== undefined) return written;
  const value = row[field];
  if (value === null) return "";
  if (field === "at") return manner.time(value as number);
  if (field === "stage") return manner.stageWords[value as string] ?? String(value);
  return typeof value === "string" ? value : numberText(siteNumber(manner, field, value), manner.decimal);
}

/** A number as the site has it: 10 digits carry any conversion. */
export function siteNumber(manner: Manner, field: Field, value: number): number {
  return Number((manner.toSite[field]?.(value) ?? value).toPrecision(10));
}

function numberText(value: number, decimal: "." | ","): string {
  return String(value).replace(".", decimal);
}
