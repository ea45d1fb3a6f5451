/** Something outside stops an intake or a store: a file, a profile, the disk. The message is for readers. */
export class IngestError extends Error {
  /** Stable word for programs, e.g. "store-locked". */
  readonly code: string;

  constructor(code: string, message: string, options?: ErrorOptions) {
    super(message, options);
    this.name = new.target.name;
    this.code = code;
  }
}

/** The store cannot be opened, read or written. Unlike a file's own error it ends the whole call. */
export class StoreError extends IngestError {}
