/** A request that cannot be answered as asked: a status, and words for the reader. */
export class HttpError extends Error {
  override readonly name = "HttpError";
  readonly status: number;
  /** What to do instead, as one sentence. */
  readonly wayOut: string;
  /** For programs: more of what was amiss. */
  readonly more: Readonly<Record<string, unknown>>;

  constructor(status: number, message: string, wayOut: string, more: Readonly<Record<string, unknown>> = {}) {
    super(message);
    this.status = status;
    this.wayOut = wayOut;
    this.more = more;
  }
}
