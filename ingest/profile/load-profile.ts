import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { basename, dirname, extname, join } from "node:path";
import type { z } from "zod";
import type { Column } from "../columns/columns.ts";
import { type Conversion, conversionFor } from "../columns/units.ts";
import { IngestError } from "../errors.ts";
import { plainFileError } from "../text/read-content.ts";
import { NO_PROFILE, type Profile } from "./profile.ts";
import { type ProfileFile, profileSchema } from "./profile-schema.ts";

/** Files of a call are many, profiles few: each is read once. */
export class Profiles {
  readonly #forAll: Profile | null;

  private constructor(forAll: Profile | null) {
    this.#forAll = forAll;
  }

  /**
   * @param path A profile that serves all files of a call; without one each file is served by its own.
   * @throws {IngestError} "bad-profile" where it cannot be read or says something that is not known.
   */
  static async open(path: string | undefined): Promise<Profiles> {
    return new Profiles(path === undefined ? null : await loadProfile(path));
  }

  /** The profile for a file: the call's, else NAME.profile.json beside it, else none. */
  async for(file: string): Promise<Profile> {
    if (this.#forAll !== null) return this.#forAll;
    const path = ownProfileOf(file);
    return existsSync(path) ? loadProfile(path) : NO_PROFILE;
  }
}

/** NAME.profile.json beside NAME.csv, and beside NAME.csv.gz too. */
function ownProfileOf(file: string): string {
  const unzipped = basename(file).replace(/\.gz$/i, "");
  return join(dirname(file), `${basename(unzipped, extname(unzipped))}.profile.json`);
}

/** Reads a profile file. @throws {IngestError} "bad-profile" with what is wrong and where. */
export async function loadProfile(path: string): Promise<Profile> {
  const bad = (what: string) =>
    new IngestError("bad-profile", `The profile ${path} cannot be used: ${what}.`);
  let text: string;
  try {
    text = await readFile(path, "utf8");
  } catch (error) {
    const plain = plainFileError(error);
    throw plain instanceof IngestError ? bad(plain.message.replace(/\.$/, "").toLowerCase()) : error;
  }
  let written: unknown;
  try {
    written = JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch {
    throw bad("it is not JSON");
  }
  const checked = profileSchema.safeParse(written);
  if (!checked.success) throw bad(explain(checked.error));
  return toProfile(checked.data);
}

function explain(error: z.ZodError): string {
  const issue = error.issues[0]!;
  if (issue.code === "unrecognized_keys") {
    return `it does not know the key "${issue.keys[0]}"; known are ${Object.keys(profileSchema.shape).join(", ")}`;
  }
  const what = issue.code === "invalid_key" ? (issue.issues[0]?.message ?? issue.message) : issue.message;
  const where = issue.path.map(String).join(" → ");
  return where === "" ? what : `${where}: ${what}`;
}

/** What a profile file says, made ready for reading. */
export function toProfile(written: ProfileFile): Profile {
  const { encoding, delimiter, columns = {}, units = {}, stages = {}, constants = {} } = written;
  return {
    written,
    sha256: createHash("sha256").update(JSON.stringify(written)).digest("hex"),
    form: { encoding, delimiter },
    decimal: written.decimal ?? null,
    times: { zone: written.time_zone ?? "utc", format: written.dates ?? null },
    columns: new Map(Object.entries(columns).map(([header, column]) => [header.trim(), column])),
    toOwnUnit: conversionsOf(units),
    constants: constants as Profile["constants"],
    stageWords: new Map(Object.entries(stages).map(([word, stage]) => [word.trim().toLowerCase(), stage])),
  };
}

function conversionsOf(units: Readonly<Record<string, string>>): Partial<Record<Column, Conversion>> {
  const conversions: Partial<Record<Column, Conversion>> = {};
  for (const [name, unit] of Object.entries(units)) {
    const conversion = conversionFor(name as Column, unit);
    if (conversion !== null) conversions[name as Column] = conversion;
  }
  return conversions;
}
