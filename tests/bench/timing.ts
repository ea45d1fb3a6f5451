/** Does some work and says how long it took. Unit: s. */
export async function timed<T>(work: () => Promise<T>): Promise<{ seconds: number; result: T }> {
  const start = performance.now();
  const result = await work();
  return { seconds: (performance.now() - start) / 1000, result };
}

/** The middle one of some numbers. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)]!;
}
