import { HttpError } from "../errors.ts";

const LONGEST = 200;

/** Characters that lead elsewhere, or that some system's file names cannot have. */
const NOT_IN_A_NAME = /[/\\:*?"<>|\p{Cc}\p{Cf}\p{Cs}]/u;

/**
 * The name of a file as a browser or a program gives it, if it is a plain name and nothing else.
 *
 * @throws {HttpError} 400 for a path, a hidden file, or no name at all.
 */
export function plainFileName(given: string): string {
  const name = given.trim();
  if (name === "") {
    throw new HttpError(
      400,
      "A file has no name.",
      "Send it as multipart/form-data, or with its name in the address: /api/intake?name=checks.csv.",
    );
  }
  if (name.length > LONGEST || name.startsWith(".") || name.endsWith(".") || NOT_IN_A_NAME.test(name)) {
    throw new HttpError(
      400,
      "The name of a file cannot be used.",
      "Give it a plain name like checks.csv: no path, no sign that file names cannot have, no dot at its ends.",
    );
  }
  return name;
}
