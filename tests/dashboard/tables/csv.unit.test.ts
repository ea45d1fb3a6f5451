import assert from "node:assert/strict";
import { parse } from "csv-parse/sync";
import fc from "fast-check";
import { describe, it } from "vitest";
import { toCsv } from "../../../dashboard/tables/csv.ts";

describe("toCsv", () => {
  it("keeps numbers as numbers, with their sign, and gaps empty", () => {
    assert.equal(
      toCsv([{ name: "V-1", error: -0.5, due: null, used: true }]),
      "name,error,due,used\r\nV-1,-0.5,,true\r\n",
    );
  });

  it("lets no text begin like a formula", () => {
    for (const text of ["=1+1", "+1", "-1", "@x", "\tx", "\rx"]) {
      const [, cell] = parse(toCsv([{ name: text }]), { record_delimiter: "\r\n" }).flat() as string[];
      assert.equal(cell, `'${text}`);
    }
  });

  it("is read back as it was written, whatever is in it", () => {
    const harmless = fc
      .string({ unit: "grapheme" })
      .filter((text) => !/^[=+\-@\t\r]/.test(text) && text !== "");
    fc.assert(
      fc.property(fc.array(fc.record({ a: harmless, b: harmless }), { minLength: 1 }), (rows) => {
        const back = parse(toCsv(rows), { columns: true, record_delimiter: "\r\n" }) as unknown;
        assert.deepEqual(JSON.stringify(back), JSON.stringify(rows));
      }),
    );
  });

  it("is empty for no rows", () => {
    assert.equal(toCsv([]), "");
  });
});
