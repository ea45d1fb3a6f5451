/**
 * What a password must be, after NIST SP 800-63B-4, section 3.1.1.2: long, with no rule on what it is made of, not one
 * that others would try first, nor made of its person's name. Length counts in characters, not in bytes.
 */

/** Its minimum for a password that is the only thing asked for. */
export const LEAST_LENGTH = 15;
/** So that nobody has the server digest a book. */
export const MOST_LENGTH = 128;

export const PASSWORD_FAULTS = ["too-short", "too-long", "own-name", "common"] as const;
export type PasswordFault = (typeof PASSWORD_FAULTS)[number];

/** What people put into passwords first: our own list, no source. Longer ones stand before those within them. */
const COMMON_PIECES = [
  ...["1234567890", "123456789", "12345678", "123456", "12345", "1234", "123", "0987654321", "987654321"],
  ...[
    "qwertyuiop",
    "asdfghjkl",
    "zxcvbnm",
    "qwertzuiop",
    "yxcvbnm",
    "azertyuiop",
    "qwerty",
    "qwertz",
    "azerty",
  ],
  ...["abcdefghijklmnopqrstuvwxyz", "abcdefgh", "abcdef", "abcd", "abc", "1q2w3e4r5t", "1q2w3e4r", "qazwsx"],
  ...["password", "passwort", "passw0rd", "passphrase", "motdepasse", "contrasena", "secret", "geheim"],
  ...["letmein", "welcome", "willkommen", "changeme", "administrator", "admin", "login", "default", "test"],
  ...["iloveyou", "football", "baseball", "dragon", "monkey", "sunshine", "princess", "superman", "master"],
  ...["springtide", "viscometers", "viscometer", "viscosity", "rotational", "calibration", "laboratory"],
  ...["spring", "summer", "autumn", "winter", "company", "quality", "manager"],
];

/** So many different characters must be left when what is easily guessed is taken away. */
const LEAST_DIFFERENT = 6;

/**
 * What is against a password; null where nothing is.
 *
 * @param own The person's name and e-mail address.
 */
export function passwordFault(password: string, own: readonly string[]): PasswordFault | null {
  const characters = [...password.normalize("NFKC")];
  if (characters.length < LEAST_LENGTH) return "too-short";
  if (characters.length > MOST_LENGTH) return "too-long";
  const plain = characters.join("").toLowerCase();
  const rest = without(plain, COMMON_PIECES);
  if (differentIn(rest) < LEAST_DIFFERENT) return "common";
  const ownPieces = own.flatMap((text) =>
    text
      .normalize("NFKC")
      .toLowerCase()
      .split(/[^\p{L}\p{N}]+/u),
  );
  return differentIn(without(rest, ownPieces)) < LEAST_DIFFERENT ? "own-name" : null;
}

function without(text: string, pieces: readonly string[]): string {
  // Left out with a gap, so that what stood on both sides makes no piece anew.
  return pieces.reduce((rest, piece) => (piece.length < 3 ? rest : rest.replaceAll(piece, " ")), text);
}

function differentIn(text: string): number {
  return new Set(text.replace(/\s/g, "")).size;
}
