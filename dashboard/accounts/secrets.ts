import { createHash, randomBytes } from "node:crypto";

/** What a browser or a program holds: 256 random bits as text, of letters that any header carries. */
export function newSecret(): string {
  return randomBytes(32).toString("base64url");
}

/**
 * What the store keeps of such a secret: SHA-256 as hexadecimal text.
 *
 * @remarks Random bits need no salt and no slow digest: there is nothing to guess. It is looked up by its digest, so
 *   that the time which that takes tells nothing of a secret.
 */
export function digestOf(secret: string): string {
  return createHash("sha256").update(secret).digest("hex");
}

/** Whether a text can be one of our secrets at all. */
export function isSecret(text: string): boolean {
  return /^[\w-]{43}$/.test(text);
}
