import { FLAGS, type Flag } from "./store.ts";

/** Flags as one number: bit i stands for FLAGS[i]. */
export function flagBits(flags: readonly Flag[]): number {
  let bits = 0;
  for (const flag of flags) bits |= 1 << FLAGS.indexOf(flag);
  return bits;
}

/** The flags that a number of {@link flagBits} stands for, in the order of FLAGS. */
export function flagsOf(bits: number): Flag[] {
  return FLAGS.filter((_, i) => (bits & (1 << i)) !== 0);
}
