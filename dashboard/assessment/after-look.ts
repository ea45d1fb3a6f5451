import type { Store } from "../../ingest/index.ts";
import type { ChangedRun } from "./assess-store.ts";
import type { Ask, UnitOrder, UnitQuestions } from "./unit-questions.ts";
import { UnitThreads } from "./unit-threads.ts";

/** What follows a look at the fleet, unit by unit; one question after the other. */
export class AfterLook {
  readonly charts: UnitAnswers<"charts">;
  readonly ahead: UnitAnswers<"ahead">;
  readonly lots: UnitAnswers<"lots">;
  readonly past: UnitAnswers<"past">;
  readonly returned: UnitAnswers<"returned">;
  readonly found: UnitAnswers<"found">;

  constructor(store: Pick<Store, "location">) {
    const threads = new UnitThreads(store.location);
    let last: Promise<unknown> = Promise.resolve();
    const inTurn: InTurn = (work) => {
      const answer = last.then(work);
      last = answer.catch(() => {});
      return answer;
    };
    const answersTo = <A extends Ask>(ask: A) => new UnitAnswers(ask, threads, inTurn);
    this.charts = answersTo("charts");
    this.ahead = answersTo("ahead");
    this.lots = answersTo("lots");
    this.past = answersTo("past");
    this.returned = answersTo("returned");
    this.found = answersTo("found");
  }
}

/** Does work when what was begun before is done. */
type InTurn = <T>(work: () => Promise<T>) => Promise<T>;

/**
 * The answers to one question: they stay until the unit, or what it shares with the fleet, is not as it was; only then
 * it is asked again. Those of the look before are let go.
 */
export class UnitAnswers<A extends Ask> {
  readonly #ask: A;
  readonly #threads: Pick<UnitThreads, "ask">;
  readonly #inTurn: InTurn;
  /** What all the kept answers have in common. */
  #basis = "";
  #kept = new Map<string, { readonly digest: string; readonly answer: UnitQuestions[A]["answer"] }>();

  constructor(ask: A, threads: Pick<UnitThreads, "ask">, inTurn: InTurn) {
    this.#ask = ask;
    this.#threads = threads;
    this.#inTurn = inTurn;
  }

  /**
   * @param units With what is told of each.
   * @returns By instrument, in the order of the fleet.
   */
  of(
    run: ChangedRun,
    asOf: string,
    terms: UnitQuestions[A]["terms"],
    units: ReadonlyMap<string, UnitQuestions[A]["told"]>,
  ): Promise<ReadonlyMap<string, UnitQuestions[A]["answer"]>> {
    return this.#inTurn(() => this.#answer(run, asOf, terms, units));
  }

  /** Has some units asked again the next time. */
  forget(instruments: readonly string[]): void {
    for (const instrument of instruments) this.#kept.delete(instrument);
  }

  async #answer(
    { basis, settings, figures }: ChangedRun,
    asOf: string,
    terms: UnitQuestions[A]["terms"],
    units: ReadonlyMap<string, UnitQuestions[A]["told"]>,
  ): Promise<ReadonlyMap<string, UnitQuestions[A]["answer"]>> {
    const common = `${basis.fleet} ${JSON.stringify(terms)}`;
    const before = this.#basis === common ? this.#kept : new Map<never, never>();
    const asked = [...basis.units].flatMap(([instrument, digest]) => {
      const told = units.get(instrument);
      return told === undefined ? [] : [{ instrument, told, digest: `${digest} ${JSON.stringify(told)}` }];
    });
    const order: UnitOrder<A> = {
      ask: this.#ask,
      terms,
      units: asked
        .filter(({ instrument, digest }) => before.get(instrument)?.digest !== digest)
        .map(({ instrument, told }) => [instrument, told]),
      asOf,
      settings,
      figures,
    };
    const fresh = await this.#threads.ask(order);
    this.#basis = common;
    this.#kept = new Map(
      asked.flatMap(({ instrument, digest }) => {
        const answer = fresh.get(instrument) ?? before.get(instrument)?.answer;
        return answer === undefined ? [] : [[instrument, { digest, answer }] as const];
      }),
    );
    return new Map([...this.#kept].map(([instrument, { answer }]) => [instrument, answer]));
  }
}

/** All units of a run, nothing being told of any. */
export function allUnits({ basis }: ChangedRun): ReadonlyMap<string, null> {
  return new Map([...basis.units.keys()].map((instrument) => [instrument, null]));
}
