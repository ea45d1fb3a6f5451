import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import ts from "typescript";
import { describe, it } from "vitest";
import { committedFiles } from "./committed-files.ts";

/** Exported functions, and exported constants that are functions, without a docstring. */
function undocumented(file: string, text: string): string[] {
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true);
  const found: string[] = [];
  for (const statement of source.statements) {
    const isExported =
      ts.canHaveModifiers(statement) &&
      ts.getModifiers(statement)?.some((modifier) => modifier.kind === ts.SyntaxKind.ExportKeyword) === true;
    if (!isExported) continue;
    const isDocumented = ts.getJSDocCommentsAndTags(statement).some((doc) => /\w{3}/.test(doc.getText()));
    if (isDocumented) continue;
    if (ts.isFunctionDeclaration(statement)) found.push(`${file}: ${statement.name?.text}`);
    if (!ts.isVariableStatement(statement)) continue;
    for (const { name, initializer } of statement.declarationList.declarations) {
      if (initializer !== undefined && ts.isFunctionLike(initializer))
        found.push(`${file}: ${name.getText()}`);
    }
  }
  return found;
}

describe("docstrings", () => {
  it("are on every exported function of the analysis", () => {
    const files = committedFiles().filter((file) => /^analysis\/.*\.ts$/.test(file));
    assert.ok(files.length > 5, `${files.length} files`);
    assert.deepEqual(
      files.flatMap((file) => undocumented(file, readFileSync(file, "utf8"))),
      [],
    );
  });

  it("are missed where there are none", () => {
    const text = `
      /** Sum of two numbers. */
      export function sum(a: number, b: number) { return a + b; }
      /** */
      export function empty() {}
      export function bare() {}
      export const arrow = () => 1;
      export const limit = 3;
      function inner() {}`;
    assert.deepEqual(undocumented("x.ts", text), ["x.ts: empty", "x.ts: bare", "x.ts: arrow"]);
  });
});
