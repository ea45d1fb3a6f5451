import type { HeldPlace } from "../held/held-place.ts";
import type { Tally } from "../report.ts";
import { batchOf, type ReadingBatch } from "../store/reading-batch.ts";
import type { QuarantinedRow, RowIntake, RowPlace } from "../store/store.ts";
import { amount } from "../wording.ts";
import { AddedChecks } from "./added-checks.ts";
import { flagOutliers } from "./flag-outliers.ts";
import { type JudgedBatch, placeOf } from "./judged-batch.ts";
import { UnknownLots } from "./unknown-lots.ts";

/** Takes the judged readings of one file: keeps what is sound, holds back the rest. */
export class ReadingTaker {
  readonly #intake: RowIntake;
  readonly #held: HeldPlace;
  readonly #lots: Iterable<string>;
  readonly #tally: Tally;
  readonly #added = new AddedChecks();
  readonly #unknownLots = new UnknownLots();

  /**
   * @param held Where rows go that are not used.
   * @param lots Those that are registered.
   */
  constructor(intake: RowIntake, held: HeldPlace, lots: Iterable<string>, tally: Tally) {
    this.#intake = intake;
    this.#held = held;
    this.#lots = lots;
    this.#tally = tally;
  }

  async take(batch: JudgedBatch): Promise<void> {
    const { columns, sound, objected, unknownLots } = batch;
    for (const [lot, readings] of unknownLots) this.#unknownLots.add(lot, readings);
    const outcomes = sound.count === 0 ? [] : await this.#intake.addReadings(sound);
    const areStored = await this.#areStored(objected);
    const heldLines = await this.#held.lines();

    const held: QuarantinedRow[] = [];
    const used: RowPlace[] = [];
    const useIfHeld = (line: number, place: () => RowPlace) => {
      if (heldLines.has(line)) used.push(place());
    };
    let next = 0;
    for (let i = 0; i <= sound.count; i++) {
      for (; next < objected.length && objected[next]!.after === i; next++) {
        const { row } = objected[next]!;
        if (areStored[next] !== true) {
          held.push(row);
          continue;
        }
        this.#tally.repeated++;
        useIfHeld(row.line, () => row);
      }
      if (i === sound.count) break;
      if (outcomes[i] === "conflicts") {
        held.push({ ...placeOf(batch, i), ...conflict(sound, i) });
        continue;
      }
      if (outcomes[i] === "accepted") {
        this.#tally.accept(sound.flags[i]!);
        this.#added.add(sound, i);
      } else this.#tally.repeated++;
      useIfHeld(sound.line[i]!, () => placeOf(batch, i));
    }
    if (held.length > 0) this.#tally.hold(held, await this.#held.hold(held, columns));
    if (used.length > 0) await this.#held.inUse(used, columns);
  }

  async end(): Promise<void> {
    await flagOutliers(this.#intake, await this.#added.inDoubt(this.#intake), this.#tally);
    this.#tally.notes.push(...this.#unknownLots.notes(this.#lots));
  }

  /** By the place among the objected ones. */
  async #areStored(objected: JudgedBatch["objected"]): Promise<(boolean | undefined)[]> {
    const answers: (boolean | undefined)[] = [];
    const suspect = objected.flatMap(({ reading }, i) => (reading === null ? [] : [{ reading, i }]));
    if (suspect.length === 0) return answers;
    const areStored = await this.#intake.areStored(batchOf(suspect.map(({ reading }) => reading)));
    for (const [at, { i }] of suspect.entries()) answers[i] = areStored[at];
    return answers;
  }
}

function conflict(batch: ReadingBatch, i: number): Omit<QuarantinedRow, keyof RowPlace> {
  const { names } = batch;
  const instrument = names.instruments[batch.instrument[i]!]!;
  const time = new Date(batch.checkedAtMs[i]!).toISOString().replace(".000Z", "Z");
  const message = `For ${instrument} at ${time} and ${amount(batch.speedRpm[i]!)} min⁻¹ a reading with other values was taken in before: which of the two is right?`;
  return { reason: "conflicts", message, instrument, site: names.sites[batch.site[i]!] ?? null };
}
