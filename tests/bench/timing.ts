/** What some work took. */
export interface Cost {
  readonly seconds: number;
  /** Processor time of all threads, those that collect memory included; a busy machine changes it less than the clock. */
  readonly cpuSeconds: number;
}

/** Does some work and says what it took. */
export async function timed<T>(work: () => Promise<T>): Promise<{ cost: Cost; result: T }> {
  const before = process.cpuUsage();
  const start = performance.now();
  const result = await work();
  const seconds = (performance.now() - start) / 1000;
  const { user, system } = process.cpuUsage(before);
  return { cost: { seconds, cpuSeconds: (user + system) / 1e6 }, result };
}

/** The middle one of some numbers. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)]!;
}
