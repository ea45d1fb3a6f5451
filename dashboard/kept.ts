/** Keeps the last answers of a costly question, by a key that changes when the answer would. */
export class Kept<T> {
  readonly #answers = new Map<string, Promise<T>>();
  readonly #most: number;

  constructor(most: number) {
    this.#most = most;
  }

  /** The kept answer, or the one that `make` gives; requests that come meanwhile share it. */
  get(key: string, make: () => Promise<T>): Promise<T> {
    const kept = this.#answers.get(key);
    if (kept !== undefined) return kept;
    const made = make();
    this.#answers.set(key, made);
    // A failure is not kept: the next request tries again.
    made.catch(() => this.#answers.delete(key));
    if (this.#answers.size > this.#most) this.#answers.delete(this.#answers.keys().next().value!);
    return made;
  }
}
