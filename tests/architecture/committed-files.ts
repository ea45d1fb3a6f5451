import { execFileSync } from "node:child_process";
import { existsSync } from "node:fs";

/** Files under version control that are there now, as paths from the root, in order. */
export function committedFiles(): string[] {
  const listed = execFileSync("git", ["ls-files", "-z"], { encoding: "utf8" }).split("\0");
  return listed.filter((file) => file !== "" && existsSync(file)).sort();
}
