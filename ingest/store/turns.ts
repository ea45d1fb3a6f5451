/** Lets one after the other in, in the order in which they asked. */
export class Turns {
  #last: Promise<void> = Promise.resolve();

  /** Waits until all who asked before have ended. @returns Ends this turn. */
  async take(): Promise<() => void> {
    const before = this.#last;
    const { promise, resolve } = Promise.withResolvers<void>();
    this.#last = promise;
    await before;
    return resolve;
  }
}
