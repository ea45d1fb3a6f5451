import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { placeLabels } from "../../../dashboard/charts/place-labels.ts";

const NAME = { left: 10, right: 180, top: 5, bottom: 20 };
const ROOM = { width: 800, height: 300, most: 30, letterPx: 7, taken: [NAME] };
const LINE_PX = 14;
const point = fc.record({
  x: fc.double({ min: 0, max: 800, noNaN: true }),
  y: fc.double({ min: 0, max: 300, noNaN: true }),
  fromY: fc.double({ min: 0, max: 300, noNaN: true }),
  text: fc.constantFrom("V-0001", "V-2", "CENTRIFUGE-HALL-17"),
  rank: fc.option(fc.double({ min: 0, max: 3, noNaN: true })),
});

function boxOf({ x, y, text, align }: { x: number; y: number; text: string; align: string }) {
  const length = text.length * ROOM.letterPx;
  const left = align === "left" ? x : x - length;
  return { left, right: left + length, top: y - LINE_PX / 2, bottom: y + LINE_PX / 2 };
}

describe("placeLabels, for any units", () => {
  it("lets no label cover other text, a sign, a stroke or the edge", () => {
    fc.assert(
      fc.property(fc.array(point, { maxLength: 60 }), (points) => {
        const boxes = placeLabels(points, ROOM).map(boxOf);
        for (const [i, box] of boxes.entries()) {
          assert.ok(box.left >= 0 && box.right <= ROOM.width && box.top >= 0 && box.bottom <= ROOM.height);
          for (const other of [NAME, ...boxes.slice(i + 1)]) {
            assert.ok(
              box.left >= other.right ||
                other.left >= box.right ||
                box.top >= other.bottom ||
                other.top >= box.bottom,
            );
          }
          for (const { x, y, fromY } of points) {
            const inX = x > box.left && x < box.right;
            assert.ok(!inX || Math.max(y, fromY) <= box.top || Math.min(y, fromY) >= box.bottom);
          }
        }
      }),
    );
  });

  it("labels the worst first and never more than there is room for", () => {
    fc.assert(
      fc.property(fc.array(point, { maxLength: 60 }), fc.integer({ min: 0, max: 5 }), (points, most) => {
        assert.ok(placeLabels(points, { ...ROOM, most }).length <= most);
      }),
    );
    const far = [
      { x: 100, y: 100, fromY: 120, text: "mild", rank: 1 },
      { x: 500, y: 100, fromY: 120, text: "worst", rank: 2 },
    ];
    assert.deepEqual(
      placeLabels(far, { ...ROOM, most: 1 }).map((label) => label.text),
      ["worst"],
    );
  });

  it("gives none to a unit without a rank", () => {
    assert.deepEqual(placeLabels([{ x: 10, y: 50, fromY: 60, text: "a", rank: null }], ROOM), []);
  });
});
