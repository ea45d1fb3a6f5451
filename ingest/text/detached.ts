/**
 * A copy of a text that keeps nothing else in memory.
 *
 * @remarks
 * V8 makes a part of a longer string a window onto it: a name that is kept from a line keeps the whole piece of the
 * file alive, and some thousand names the whole file. Whatever outlives its row goes through here.
 */
export function detached(text: string): string {
  return Buffer.from(text, "utf16le").toString("utf16le");
}
