import type { Response } from "express";
import type { Assessment, Standing } from "./assessment/views.ts";
import { LOOK_FAILED, lookingText } from "./wording/standing.ts";

/** While somebody looks, and while nobody does: a new day is then begun before the first reader comes. Unit: ms. */
const LOOK_EVERY = { watched: 1000, unwatched: 60_000 };
/** A stream that says nothing for long is taken for dead by what lies between. Unit: ms. */
const BREATH_EVERY_MS = 20_000;

/** Tells every open page how new what it shows is, as soon as that changes: server-sent events. */
export class EventStreams {
  readonly #assessment: Assessment;
  readonly #report: (error: unknown) => void;
  readonly #streams = new Set<Response>();
  #said = "";
  #saidAtMs = 0;
  #timer: NodeJS.Timeout | null = null;
  #look: Promise<void> = Promise.resolve();
  #ended = false;

  constructor(assessment: Assessment, report: (error: unknown) => void) {
    this.#assessment = assessment;
    this.#report = report;
    this.#lookAgainIn(LOOK_EVERY.unwatched);
  }

  /** Keeps a response open until its reader goes or the server stops. */
  add(response: Response): void {
    if (this.#ended) {
      response.end();
      return;
    }
    this.#streams.add(response);
    response.on("close", () => this.#streams.delete(response));
    this.#said = "";
    this.#lookAgainIn(0);
  }

  /** Ends every stream, and waits for the look at the store that is under way. */
  async end(): Promise<void> {
    this.#ended = true;
    if (this.#timer !== null) clearTimeout(this.#timer);
    for (const stream of this.#streams) stream.end();
    await this.#look;
  }

  #lookAgainIn(ms: number): void {
    if (this.#ended) return;
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.#look = this.#tell()
        .catch(this.#report)
        .finally(() => this.#lookAgainIn(this.#streams.size > 0 ? LOOK_EVERY.watched : LOOK_EVERY.unwatched));
    }, ms);
    // The clock alone keeps no server running.
    this.#timer.unref();
  }

  async #tell(): Promise<void> {
    const standing = await this.#assessment.standing();
    const state = JSON.stringify(standing);
    const now = Date.now();
    const quiet = now - this.#saidAtMs < BREATH_EVERY_MS;
    if (state === this.#said && quiet) return;
    const text = state === this.#said ? ":\n\n" : eventOf(standing, now);
    this.#said = state;
    this.#saidAtMs = now;
    for (const stream of this.#streams) stream.write(text);
  }
}

function eventOf({ revision, shown, looking, failed }: Standing, nowMs: number): string {
  const data = {
    revision,
    shown:
      shown === null
        ? null
        : { revision: shown.revision, as_of: shown.asOf, ms_ago: nowMs - shown.finishedAtMs },
    doing: failed ? LOOK_FAILED : looking === null ? null : lookingText(looking),
  };
  return `event: standing\ndata: ${JSON.stringify(data)}\n\n`;
}
