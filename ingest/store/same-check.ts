const DAY_MS = 86_400_000;

interface CheckMember {
  readonly checkedAtMs: number;
  readonly checkId: string | null;
}

/**
 * Whether a reading of the same unit belongs to the check that `first` opened.
 *
 * @remarks
 * Readings share a check where they share a check identifier and are at most a day apart (running numbers
 * may start afresh every day or year); without identifiers, where they share the time.
 */
export function sameCheck(first: CheckMember, next: CheckMember): boolean {
  if (first.checkId === null || next.checkId === null) {
    return first.checkId === next.checkId && first.checkedAtMs === next.checkedAtMs;
  }
  return first.checkId === next.checkId && Math.abs(next.checkedAtMs - first.checkedAtMs) <= DAY_MS;
}
