import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { CsvReader } from "../../../ingest/csv/csv-reader.ts";
import type { RawRecord } from "../../../ingest/record.ts";

function recordsOf(text: string, delimiter = ",", pieceLength = text.length || 1): RawRecord[] {
  const reader = new CsvReader(delimiter);
  const records: RawRecord[] = [];
  for (let at = 0; at < text.length; at += pieceLength)
    records.push(...reader.push(text.slice(at, at + pieceLength)));
  return [...records, ...reader.end()];
}

const fieldsOf = (text: string, delimiter?: string) =>
  recordsOf(text, delimiter).map((record) => record.fields);

describe("CsvReader", () => {
  it("splits plain rows, whatever stands between fields", () => {
    assert.deepEqual(fieldsOf("a,b\n1,2\n3,4"), [
      ["1", "2"],
      ["3", "4"],
    ]);
    assert.deepEqual(fieldsOf("a;b\r\n1;2,5\r\n", ";"), [["1", "2,5"]]);
    assert.deepEqual(fieldsOf("a\tb\r1\t2\r", "\t"), [["1", "2"]]);
  });

  it("passes over blank lines, and counts them", () => {
    assert.deepEqual(
      recordsOf("\na,b\n\n1,2\n   \n3,4\n").map(({ line, fields }) => [line, ...fields]),
      [
        [4, "1", "2"],
        [6, "3", "4"],
      ],
    );
  });

  it("passes over rows without a single value, as spreadsheets leave them", () => {
    assert.deepEqual(fieldsOf("a,b\n,\n1,2\n , \n,,,\n"), [["1", "2"]]);
  });

  it("understands quotes: separators, doubled quotes and line ends inside", () => {
    const text = 'a,b\n"1,5","say ""x"""\n"two\r\nlines",2\nlast,3\n';
    assert.deepEqual(
      recordsOf(text).map(({ line, raw, fields }) => ({ line, raw, fields })),
      [
        { line: 2, raw: '"1,5","say ""x"""', fields: ["1,5", 'say "x"'] },
        { line: 3, raw: '"two\r\nlines",2', fields: ["two\r\nlines", "2"] },
        { line: 5, raw: "last,3", fields: ["last", "3"] },
      ],
    );
  });

  it("holds back a row of another width than the header, word for word", () => {
    const [short, long] = recordsOf("a,b,c\n1,2\n1,2,3,4\n");
    assert.equal(short?.raw, "1,2");
    assert.match(short?.problem ?? "", /it has 2 fields where the header has 3/);
    assert.match(long?.problem ?? "", /it has 4 fields where the header has 3/);
  });

  it("loses one row to a quote that is never closed, and no other", () => {
    const good = Array.from({ length: 3000 }, (_, i) => `${i},ok`);
    const text = ["a,b", ...good.slice(0, 10), '"open,1', ...good.slice(10)].join("\n");
    for (const pieceLength of [text.length, 1000]) {
      const records = recordsOf(text, ",", pieceLength);
      assert.deepEqual(
        records.filter((record) => record.problem !== null).map(({ line, raw }) => [line, raw]),
        [[12, '"open,1']],
      );
      assert.equal(records.filter((record) => record.problem === null).length, 3000);
    }
  });

  it("takes a quote closed much later in another row's field for a broken one", () => {
    const text = 'a,b\n1,"open\n2,ok\n3,"fine"\n4,"also\n5,ok\n';
    const records = recordsOf(text);
    assert.deepEqual(
      records.filter((record) => record.problem === null).map((record) => record.fields),
      [
        ["2", "ok"],
        ["3", "fine"],
        ["5", "ok"],
      ],
    );
    assert.deepEqual(
      records.filter((record) => record.problem !== null).map((record) => record.line),
      [2, 5],
    );
  });

  it("holds back stray quotes that close, and reads their neighbours", () => {
    const records = recordsOf('a,b\n"x"y"z",1\n"fine",2\n');
    assert.equal(records[0]?.problem, "its quotes are broken");
    assert.deepEqual(records[1]?.fields, ["fine", "2"]);
  });

  it("says so when the header cannot be read", () => {
    assert.throws(() => recordsOf('"a,b\n1,2\n'), /Line 1: the quotes of the header do not close/);
    assert.throws(() => recordsOf(`${"x,".repeat(5000)}x\n`), /the header has 5001 columns/);
  });

  it("accounts for every line of any text, however it is cut", () => {
    const row = fc
      .array(fc.constantFrom("1", ",", '"', "\n", "\r\n", "x", " "), { maxLength: 60 })
      .map((parts) => `a,b\n${parts.join("")}`);
    fc.assert(
      fc.property(row, fc.integer({ min: 1, max: 20 }), (text, pieceLength) => {
        const records = recordsOf(text, ",", pieceLength);
        assert.deepEqual(records, recordsOf(text));
        const kept = records.map((record) => record.raw).join("");
        const visible = (all: string) => all.replace(/[\s,]/g, "");
        assert.equal(visible(kept), visible(text.slice(4)));
      }),
    );
  });
});
