/** Seeded random numbers for fixtures (mulberry32): the same seed gives the same fleet on every machine. */
export interface Random {
  /** Uniform on [0, 1). */
  uniform(): number;
  /** Standard normal, by the sum of twelve uniforms: good enough for something to look at. */
  normal(): number;
  pick<T>(items: readonly T[]): T;
}

export function seededRandom(seed: number): Random {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
  return {
    uniform,
    normal: () => Array.from({ length: 12 }, uniform).reduce((sum, u) => sum + u, -6),
    pick: (items) => items[Math.floor(uniform() * items.length)]!,
  };
}
