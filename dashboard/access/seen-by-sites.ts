/** What is left of views for people who are limited to sites: worked out once for each view and set of sites. */
export class SeenBySites {
  readonly #kept = new WeakMap<object, Map<string, unknown>>();

  get<View extends object>(
    whole: View,
    sites: readonly string[],
    make: () => View | Promise<View>,
  ): View | Promise<View> {
    const bySites = this.#kept.get(whole) ?? new Map<string, unknown>();
    this.#kept.set(whole, bySites);
    const key = JSON.stringify([...sites].sort());
    const known = bySites.get(key) as View | Promise<View> | undefined;
    if (known !== undefined) return known;
    const made = make();
    bySites.set(key, made);
    return made;
  }
}
