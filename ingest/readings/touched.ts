import { detached } from "../text/detached.ts";

export interface Span {
  fromMs: number;
  untilMs: number;
}

/** Between which two instants, both included, checks of a unit are to be looked at. */
export interface TouchedSpan extends Readonly<Span> {
  readonly instrument: string;
}

/** Per instrument the first and last time of readings that were changed. */
export class Touched {
  readonly #spans = new Map<string, Span>();

  add(instrument: string, checkedAtMs: number): void {
    const span = this.#spans.get(instrument);
    if (span === undefined) {
      this.#spans.set(detached(instrument), { fromMs: checkedAtMs, untilMs: checkedAtMs });
    } else {
      span.fromMs = Math.min(span.fromMs, checkedAtMs);
      span.untilMs = Math.max(span.untilMs, checkedAtMs);
    }
  }

  spans(): TouchedSpan[] {
    return [...this.#spans].map(([instrument, span]) => ({ instrument, ...span }));
  }
}
