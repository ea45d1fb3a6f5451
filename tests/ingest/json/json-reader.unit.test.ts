import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { JsonReader } from "../../../ingest/json/json-reader.ts";
import { ArraySplitter, type ElementSplitter } from "../../../ingest/json/split-elements.ts";
import { ObjectLineSplitter } from "../../../ingest/json/split-lines-of-objects.ts";
import type { RawRecord } from "../../../ingest/record.ts";

function read(text: string, splitter: ElementSplitter = new ArraySplitter(), pieceLength = text.length || 1) {
  const reader = new JsonReader(splitter, ".");
  const records: RawRecord[] = [];
  for (let at = 0; at < text.length; at += pieceLength)
    records.push(...reader.push(text.slice(at, at + pieceLength)));
  records.push(...reader.end());
  return { columns: reader.columns, records };
}

const problems = (records: readonly RawRecord[]) =>
  records.filter(({ problem }) => problem !== null).map(({ line, raw, problem }) => ({ line, raw, problem }));

describe("JsonReader over an array", () => {
  it("takes keys as columns as they come, and values as text", () => {
    const { columns, records } = read('[{"a": 1.50, "b": "x"},\n {"c": null, "a": true, "b": [1]}]');
    assert.deepEqual(columns, ["a", "b", "c"]);
    assert.deepEqual(
      records.map(({ fields }) => fields),
      [
        ["1.5", "x"],
        ["true", "[1]", ""],
      ],
    );
  });

  it("gives a nested check as one record per reading, with what they share", () => {
    const text = '[\n{"i": "U", "readings": [\n{"n": 1}, {"n": 2, "i": "V"}\n]}\n]';
    const { records } = read(text);
    assert.deepEqual(
      records.map(({ line, part, fields }) => [line, part, ...fields]),
      [
        [2, 1, "U", "1"],
        [2, 2, "V", "2"],
      ],
    );
    assert.equal(records[0]?.raw, '{"i": "U", "readings": [\n{"n": 1}, {"n": 2, "i": "V"}\n]}');
  });

  it("names the line on which an element begins, whatever ends the lines", () => {
    for (const end of ["\n", "\r\n", "\r"]) {
      const text = ["[", '{"a":', "1},", "", '{"a":2},', '  {"a":3}', "]"].join(end);
      for (const pieceLength of [1, 2, 3, 100]) {
        const places = read(text, new ArraySplitter(), pieceLength).records.map(({ line, column }) => [
          line,
          column,
        ]);
        assert.deepEqual(
          places,
          [
            [2, 1],
            [5, 1],
            [6, 3],
          ],
          `${JSON.stringify(end)} by ${pieceLength}`,
        );
      }
    }
  });

  it("is not misled by brackets and escaped quotes inside texts", () => {
    const { records } = read('[{"a": "}{\\"]["}, {"a": "\\\\"}]');
    assert.deepEqual(
      records.map(({ fields }) => fields),
      [['}{"]['], ["\\"]],
    );
  });

  it("holds back an element that is no JSON, and reads its neighbours", () => {
    const { records } = read('[{"a":1},\n{"a" 2},\n{"a":3}]');
    assert.deepEqual(problems(records), [{ line: 2, raw: '{"a" 2}', problem: "it is not a JSON object" }]);
    assert.equal(records.length, 3);
  });

  it("loses one element to a bracket or a text that is not closed", () => {
    for (const broken of ['{"a":1,', '{"a":"x}', '{"a":[1}', '{"a":{"b":1}']) {
      const { records } = read(`[\n${broken}\n{"a":2},\n{"a":3}]`);
      assert.deepEqual(
        problems(records).map(({ line, raw }) => [line, raw]),
        [[2, broken]],
        broken,
      );
      assert.equal(records.length, 3, broken);
    }
  });

  it("finds the next element on the same line too", () => {
    const { records } = read('[{"a":1]}, {"a":2}]');
    assert.deepEqual(
      problems(records).map(({ raw }) => raw),
      ['{"a":1]},'],
    );
    assert.equal(records.length, 2);
  });

  it("does not follow nesting without end, or text that is no object", () => {
    const { records } = read(`[${'{"a":'.repeat(10_000)}`);
    assert.match(problems(records)[0]?.problem ?? "", /nested more than 32 levels deep/);
    assert.deepEqual(
      problems(read("[1, 2]").records).map(({ problem }) => problem),
      ["it is no object", "it is no object"],
    );
  });

  it("takes what stands where an object is due as one element, and the object after it whole", () => {
    for (const odd of ['"no {object"', "17", "null", '["a", {"b": 1}]']) {
      for (const pieceLength of [1, 3, 100]) {
        const { records } = read(`[${odd}, {"a": {"b": 1}}]`, new ArraySplitter(), pieceLength);
        const raws = records.map(({ raw, problem }) => [raw, problem]);
        assert.deepEqual(raws, [
          [odd, "it is no object"],
          ['{"a": {"b": 1}}', null],
        ]);
      }
    }
  });

  it("holds back a check whose readings are no list, and of a list what is no reading", () => {
    assert.match(problems(read('[{"readings": 3}]').records)[0]?.problem ?? "", /"readings" is not a list/);
    const { records } = read('[{"i": "U", "readings": [{"n": 1}, null, {"n": 3}]}]');
    assert.deepEqual(
      records.map(({ part, fields, problem }) => [part, ...fields, problem]),
      [
        [1, "U", "1", null],
        [2, "reading 2 of the check is no object"],
        [3, "U", "3", null],
      ],
    );
  });

  it("accounts for every character of any text, however it is cut", () => {
    const text = fc
      .array(fc.constantFrom('{"a":1}', "{", "}", "[", "]", ",", '"', "\n", "\r\n", ":", "1", "\\"), {
        maxLength: 40,
      })
      .map((parts) => `[${parts.join("")}`);
    fc.assert(
      fc.property(text, (whole) => {
        const visible = (all: string) => all.replace(/[\s,[\]]/g, "");
        const { records } = read(whole);
        assert.equal(visible(records.map(({ raw }) => raw).join("")), visible(whole));
      }),
    );
  });
});

describe("JsonReader over lines", () => {
  it("takes one object a line and loses only the lines that are none", () => {
    const { records } = read('{"a":1}\n\n{"a":\n{"a":3}\n', new ObjectLineSplitter());
    assert.deepEqual(problems(records), [{ line: 3, raw: '{"a":', problem: "it is not a JSON object" }]);
    assert.deepEqual(
      records.map(({ line }) => line),
      [1, 3, 4],
    );
  });
});
