/** So many are taken at once: threads then end at about the same time. */
const AT_ONCE = 16;

/**
 * Items of a list that threads share, some at a time, each taken by one thread only.
 *
 * @param taken How many were taken, in memory that the threads share.
 */
export function* inTurn<T>(list: readonly T[], taken: Int32Array): Generator<T> {
  for (;;) {
    const from = Atomics.add(taken, 0, AT_ONCE);
    if (from >= list.length) return;
    yield* list.slice(from, from + AT_ONCE);
  }
}

/** Nothing taken yet; for {@link inTurn}. */
export function noneTaken(): Int32Array {
  return new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
}
