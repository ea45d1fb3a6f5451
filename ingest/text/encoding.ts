import { isUtf8 } from "node:buffer";

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
  #rest: Uint8Array = new Uint8Array(0);
  #isValid = true;

  push(bytes: Uint8Array): void {
    if (!this.#isValid) return;
    const all = this.#rest.length === 0 ? bytes : Buffer.concat([this.#rest, bytes]);
    const whole = all.length - openedAtEnd(all);
    this.#isValid = isUtf8(all.subarray(0, whole));
    this.#rest = all.slice(whole);
  }

  /** Whether everything pushed was UTF-8; to be asked once, at the end. */
  end(): boolean {
    return this.#isValid && this.#rest.length === 0;
  }
}

/** How many bytes at the end begin a character that they do not complete. */
function openedAtEnd(bytes: Uint8Array): number {
  for (let back = 1; back <= Math.min(3, bytes.length); back++) {
    const byte = bytes[bytes.length - back]!;
    if (byte < 0x80) return 0;
    if (byte < 0xc0) continue;
    const length = byte >= 0xf0 ? 4 : byte >= 0xe0 ? 3 : 2;
    return length > back ? back : 0;
  }
  return 0;
}
