import { userInfo } from "node:os";
import { CommandError } from "./errors.ts";

/** Who decides: as the call says, else the account that runs it. @throws {CommandError} for an empty name. */
export function personName(by: string | undefined): string {
  const name = (by ?? userInfo().username).trim();
  if (name === "") throw new CommandError("Say who decides with --by NAME.");
  return name;
}
