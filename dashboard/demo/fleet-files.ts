import { copyFileSync, mkdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { ChunkedFile } from "./chunked-file.ts";
import { cellsOf, registerTables } from "./columns.ts";
import { DAY_MS } from "./days.ts";
import type { DemoFleet } from "./demo-fleet.ts";
import { FORMS } from "./forms.ts";
import type { Check } from "./history.ts";
import { count, emptyManifest, type FileManifest } from "./manifest.ts";
import { RandomSource, STREAM } from "./random.ts";
import { FORM_NAMES, type FormName, type SentRow, SlipMaker } from "./slips.ts";

export interface WriteOptions {
  /**
   * `as-sent`: registers from head office, and a folder a site with a file a year, each site in a form of its own, with
   * the slips people make; `plain`: the registers and one long readings.csv, without slips.
   */
  readonly forms: "as-sent" | "plain";
}

/** Share of checks with a slip in recording or sending. */
const SLIP_SHARE = 0.0025;

/**
 * Writes a fleet as files into a folder, which is made where missing. Every form is UTF-8 with the column names that
 * ingest knows, so that no profile is needed. One unit is in memory at a time.
 *
 * @returns What each file holds, registers first, in the order in which they are to be read.
 */
export function writeFleet(
  folder: string,
  fleet: DemoFleet,
  { forms }: WriteOptions,
): readonly FileManifest[] {
  const isPlain = forms === "plain";
  const registers = writeRegisters(
    join(folder, isPlain ? "" : "head-office"),
    isPlain ? "" : "head-office/",
    fleet,
  );
  const readings = isPlain ? writePlain(folder, fleet) : writeAsSent(folder, fleet);
  return [...registers, ...readings];
}

function writeRegisters(folder: string, prefix: string, fleet: DemoFleet): FileManifest[] {
  mkdirSync(folder, { recursive: true });
  return Object.entries(registerTables(fleet)).map(([kind, rows]) => {
    writeFileSync(join(folder, `${kind}.csv`), `${rows.map((row) => row.join(",")).join("\n")}\n`);
    const manifest = emptyManifest(`${prefix}${kind}.csv`, kind as FileManifest["kind"]);
    manifest.rows = rows.length - 1;
    manifest.accepted = rows.length - 1;
    return manifest;
  });
}

function writePlain(folder: string, fleet: DemoFleet): FileManifest[] {
  const file = new ReadingsFile(folder, "readings.csv", "long-csv");
  for (const { checks } of fleet.histories()) for (const check of checks) file.append(sentRows(check));
  return [file.close()];
}

function writeAsSent(folder: string, fleet: DemoFleet): FileManifest[] {
  const files = new Map<string, ReadingsFile>();
  const slipMaker = new SlipMaker();
  const resent = resentFile(fleet);
  for (const { plan, checks } of fleet.histories()) {
    const random = new RandomSource(fleet.options.seed, plan.index, STREAM.slips);
    const site = plan.site.name;
    const form = formOf(fleet, site);
    for (const check of checks) {
      const path = pathOf(site, new Date(check.checkedAtMs).getUTCFullYear(), form);
      const file = files.get(path) ?? new ReadingsFile(folder, path, form);
      files.set(path, file);
      const slip = random.chance(SLIP_SHARE) && path !== resent.original;
      const rows = sentRows(check);
      file.append(slip ? slipMaker.next(rows, check, form, random) : rows);
    }
  }
  const manifests = [...files.values()].map((file) => file.close());
  const original = manifests.find(({ file }) => file === resent.original);
  if (original === undefined) return manifests;
  copyFileSync(join(folder, resent.original), join(folder, resent.copy));
  const copy = emptyManifest(resent.copy, "readings");
  copy.rows = original.rows;
  copy.repeated = original.rows;
  return [...manifests, copy];
}

function formOf({ surroundings }: DemoFleet, site: string): FormName {
  const index = surroundings.sites.findIndex(({ name }) => name === site);
  return FORM_NAMES[index % FORM_NAMES.length] as FormName;
}

function pathOf(site: string, year: number, form: FormName): string {
  return `${site.toLowerCase()}/checks-${year}.${FORMS[form].extension}`;
}

/** The first site sends last year's file a second time under another name; it is the only file free of slips. */
function resentFile(fleet: DemoFleet): { original: string; copy: string } {
  const site = (fleet.surroundings.sites[0] as { name: string }).name;
  const year = Number(fleet.options.asOf.slice(0, 4)) - 1;
  const original = pathOf(site, year, formOf(fleet, site));
  return { original, copy: original.replace("checks-", "sent-again-") };
}

function sentRows(check: Check): SentRow[] {
  const flags: string[] = [];
  if (check.temperatureC !== null && Math.abs(check.temperatureC - 25) > 0.2) flags.push("temperature-off");
  if (check.checkedAtMs / DAY_MS >= check.lot.expiresDay + 1) flags.push("lot-expired");
  return cellsOf(check).map((cells) => ({ cells, fate: { kind: "accepted", flags } }));
}

/** One file of readings in its form, and the count of what went into it. */
class ReadingsFile {
  private readonly form;
  private readonly file: ChunkedFile;
  private readonly manifest: FileManifest;

  constructor(folder: string, path: string, form: FormName) {
    this.form = FORMS[form];
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    this.file = new ChunkedFile(join(folder, path));
    this.file.append(this.form.head);
    this.manifest = emptyManifest(path, "readings");
  }

  append(rows: readonly SentRow[]): void {
    this.file.append(this.form.check(rows, this.manifest.rows === 0));
    count(this.manifest, rows);
  }

  close(): FileManifest {
    this.file.append(this.form.tail);
    this.file.close();
    return this.manifest;
  }
}
