/** A field of a row: how many bytes it has, and where; null: -1 bytes. */
type Field = (place: number) => number;

const HEADER_BYTES = 19;

/**
 * Reads rows out of COPY's binary form, without a text between: several times as fast for a million of them.
 *
 * @remarks Source: PostgreSQL documentation, COPY, "Binary Format".
 * @param each Told of each row; its methods hold until it returns.
 */
export class CopyRows {
  #rest: Buffer = Buffer.alloc(0);
  #begun = false;
  readonly #at: Int32Array;
  readonly #length: Int32Array;

  constructor(fields: number) {
    this.#at = new Int32Array(fields);
    this.#length = new Int32Array(fields);
  }

  /** Takes a piece as it comes, and tells of every row that is complete with it. */
  take(piece: Buffer, each: (row: this) => void): void {
    this.#rest = this.#rest.length === 0 ? piece : Buffer.concat([this.#rest, piece]);
    let at = 0;
    if (!this.#begun) {
      if (this.#rest.length < HEADER_BYTES) return;
      at = HEADER_BYTES;
      this.#begun = true;
    }
    for (let next = this.#rowFrom(at); next > 0; next = this.#rowFrom(at)) {
      each(this);
      at = next;
    }
    this.#rest = this.#rest.subarray(at);
  }

  isNull(field: number): boolean {
    return this.#length[field]! < 0;
  }

  /** int8. */
  readonly whole: Field = (field) => {
    const at = this.#at[field]!;
    return this.#rest.readInt32BE(at) * 4_294_967_296 + this.#rest.readUInt32BE(at + 4);
  };

  /** float8; NaN for null. */
  readonly number: Field = (field) =>
    this.isNull(field) ? Number.NaN : this.#rest.readDoubleBE(this.#at[field]!);

  text(field: number): string | null {
    const at = this.#at[field]!;
    return this.isNull(field) ? null : this.#rest.toString("utf8", at, at + this.#length[field]!);
  }

  /** Finds the fields of the row at a place. @returns Where the next one begins; 0 where this one is not whole, or was the last. */
  #rowFrom(start: number): number {
    const bytes = this.#rest;
    let at = start + 2;
    if (at > bytes.length || bytes.readInt16BE(start) < 0) return 0;
    for (let field = 0; field < this.#at.length; field++) {
      if (at + 4 > bytes.length) return 0;
      const length = bytes.readInt32BE(at);
      at += 4;
      this.#at[field] = at;
      this.#length[field] = length;
      at += Math.max(length, 0);
      if (at > bytes.length) return 0;
    }
    return at;
  }
}
