import { detached } from "../text/detached.ts";

/** Per instrument the first and last time of readings that were added or changed. */
export class Touched {
  readonly #spans = new Map<string, { fromMs: number; untilMs: number }>();

  add(instrument: string, checkedAtMs: number): void {
    const span = this.#spans.get(instrument);
    if (span === undefined) {
      this.#spans.set(detached(instrument), { fromMs: checkedAtMs, untilMs: checkedAtMs });
    } else {
      span.fromMs = Math.min(span.fromMs, checkedAtMs);
      span.untilMs = Math.max(span.untilMs, checkedAtMs);
    }
  }

  spans(): Iterable<readonly [instrument: string, { readonly fromMs: number; readonly untilMs: number }]> {
    return this.#spans;
  }
}
