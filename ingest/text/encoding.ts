export type Encoding = "utf-8" | "utf-16le" | "utf-16be" | "windows-1252";

/** Share of zero bytes at one side of the pairs that tells UTF-16 text of mostly Latin letters. */
const UTF16_SHARE = 0.4;

/** A beginning of this length tells one side from the other. */
const ENOUGH_BYTES = 4096;

/** The encoding that a byte-order mark, or zero bytes at every other place, gives away; null where neither is there. */
export function markedEncoding(head: Uint8Array): Encoding | null {
  if (head[0] === 0xff && head[1] === 0xfe) return "utf-16le";
  if (head[0] === 0xfe && head[1] === 0xff) return "utf-16be";
  if (head[0] === 0xef && head[1] === 0xbb && head[2] === 0xbf) return "utf-8";
  const zeros: [number, number] = [0, 0];
  const length = Math.min(head.length, ENOUGH_BYTES);
  for (let i = 0; i < length; i++) if (head[i] === 0) zeros[(i % 2) as 0 | 1]++;
  const pairs = length / 2;
  if (zeros[1] > UTF16_SHARE * pairs && zeros[0] < zeros[1] / 8) return "utf-16le";
  if (zeros[0] > UTF16_SHARE * pairs && zeros[1] < zeros[0] / 8) return "utf-16be";
  return null;
}

/** Watches a stream of bytes for anything that UTF-8 does not allow. */
export class Utf8Watch {
  readonly #decoder = new TextDecoder("utf-8", { fatal: true });
  #isValid = true;

  push(bytes: Uint8Array): void {
    this.#decode(bytes, true);
  }

  /** Whether everything pushed was UTF-8; to be asked once, at the end. */
  end(): boolean {
    this.#decode(new Uint8Array(), false);
    return this.#isValid;
  }

  #decode(bytes: Uint8Array, stream: boolean): void {
    if (!this.#isValid) return;
    try {
      this.#decoder.decode(bytes, { stream });
    } catch {
      this.#isValid = false;
    }
  }
}
