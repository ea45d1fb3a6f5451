/** The call's words are off: exit 2. */
export class UsageError extends Error {
  override readonly name = "UsageError";
}

/** Something could not be done: exit 1. */
export class CommandError extends Error {
  override readonly name = "CommandError";
}
