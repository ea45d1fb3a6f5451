/** Base of every error that analysis/ raises about the data it was given. */
export class AnalysisError extends Error {
  /** Stable word for programs, e.g. "too-few-points". */
  readonly code: string;
  /** Facts behind the message, safe to show. */
  readonly detail: Readonly<Record<string, string | number>>;

  constructor(code: string, message: string, detail: Readonly<Record<string, string | number>> = {}) {
    super(message);
    this.name = new.target.name;
    this.code = code;
    this.detail = detail;
  }
}

/** The series is well formed but shorter than the method can use. */
export class TooFewPointsError extends AnalysisError {
  constructor(method: string, needed: number, got: number) {
    super("too-few-points", `${method} needs at least ${needed} points, got ${got}`, { method, needed, got });
  }
}

/** A value in the series is NaN or infinite. */
export class NonFiniteValueError extends AnalysisError {
  constructor(method: string, index: number, value: number) {
    super("non-finite-value", `${method} needs finite values, got ${value} at index ${index}`, {
      method,
      index,
      value,
    });
  }
}

/** The design carries no information about a coefficient, e.g. every torque is the same. */
export class SingularDesignError extends AnalysisError {
  constructor(method: string, why: string) {
    super("singular-design", `${method} cannot be solved: ${why}`, { method });
  }
}

/** A value lies where the quantity cannot lie, e.g. a full-scale range of zero. */
export class ImpossibleValueError extends AnalysisError {
  constructor(method: string, quantity: string, allowed: string, value: number) {
    super("impossible-value", `${method}: ${quantity} must be ${allowed}, got ${value}`, {
      method,
      quantity,
      allowed,
      value,
    });
  }
}

/** Two columns that belong together have different lengths. */
export class LengthMismatchError extends AnalysisError {
  constructor(method: string, expected: number, got: number) {
    super("length-mismatch", `${method} needs columns of equal length, got ${expected} and ${got}`, {
      method,
      expected,
      got,
    });
  }
}

/** Times run backwards where a method needs them in order; equal times are in order. */
export class OutOfOrderError extends AnalysisError {
  constructor(method: string, index: number) {
    super("out-of-order", `${method} needs points in order of time, the one at index ${index} is earlier`, {
      method,
      index,
    });
  }
}

/** The points show no scatter at all, so that nothing can be judged by it. */
export class NoScatterError extends AnalysisError {
  constructor(method: string, count: number) {
    super("no-scatter", `${method} needs points that scatter, its ${count} show none`, { method, count });
  }
}
