import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { describe, it } from "vitest";

type Rgb = readonly [number, number, number];
type Theme = Readonly<Record<string, string>>;

const sheet = readFileSync(new URL("../../../dashboard/assets/styles/colours.css", import.meta.url), "utf8");
const [light, dark] = sheet.split("@media (prefers-color-scheme: dark)").map(coloursIn) as [Theme, Theme];
const THEMES: readonly [string, Theme][] = [
  ["light", light],
  ["dark", { ...light, ...dark }],
];
const STATES = ["steady", "leaning", "heading-out", "out"];

function coloursIn(css: string): Theme {
  return Object.fromEntries(
    [...css.matchAll(/--([\w-]+): (#[0-9a-f]{6});/g)].map(([, name, hex]) => [name, hex]),
  );
}

/** Light of a colour, each channel 0 to 1 (sRGB, IEC 61966-2-1). */
function linear(hex: string): Rgb {
  return [1, 3, 5].map((at) => {
    const v = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  }) as unknown as Rgb;
}

/** Contrast ratio of WCAG 2.2. */
function contrast(a: string, b: string): number {
  const [x, y] = [a, b].map((hex) => {
    const [red, green, blue] = linear(hex);
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05;
  });
  return Math.max(x! / y!, y! / x!);
}

/** Full protanopia, deuteranopia and tritanopia: Machado, Oliveira and Fernandes (2009); values from memory. */
const BLINDNESS: Readonly<Record<string, readonly Rgb[]>> = {
  protanopia: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deuteranopia: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritanopia: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
};

/** Distance of two colours in CIELAB (1976), as an eye of that kind sees them. */
function distance(a: string, b: string, matrix: readonly Rgb[]): number {
  const [p, q] = [a, b].map((hex) => {
    const [red, green, blue] = linear(hex);
    const seen = matrix.map((row) => Math.min(1, Math.max(0, row[0] * red + row[1] * green + row[2] * blue)));
    return lab(seen as unknown as Rgb);
  });
  return Math.hypot(...p!.map((value, i) => value - q![i]!));
}

function lab([red, green, blue]: Rgb): Rgb {
  const f = (t: number): number => (t > 0.008856 ? Math.cbrt(t) : 7.787 * t + 16 / 116);
  const x = f((0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.9505);
  const y = f(0.2126 * red + 0.7152 * green + 0.0722 * blue);
  const z = f((0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.089);
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

describe.each(THEMES)("the colours, %s", (_, theme) => {
  it("let every text be read: 4.5 to 1", () => {
    const grounds = ["paper", "card"];
    for (const text of ["ink", "soft", "steady", "leaning-ink", "heading-out", "out"]) {
      for (const ground of grounds) {
        const ratio = contrast(theme[text]!, theme[ground]!);
        assert.ok(ratio >= 4.5, `${text} on ${ground}: ${ratio.toFixed(2)}`);
      }
    }
    for (const ground of ["water", "deep", "bank"]) {
      for (const text of ["ink", "soft"]) {
        const ratio = contrast(theme[text]!, theme[ground]!);
        assert.ok(ratio >= 4.5, `${text} on ${ground}: ${ratio.toFixed(2)}`);
      }
    }
  });

  it("let every sign be seen: 3 to 1", () => {
    for (const state of STATES) {
      for (const ground of ["paper", "water"]) {
        const ratio = contrast(theme[state]!, theme[ground]!);
        assert.ok(ratio >= 3, `${state} on ${ground}: ${ratio.toFixed(2)}`);
      }
    }
  });

  it("keep the states apart for every kind of colour blindness, though each has its own shape", () => {
    for (const [kind, matrix] of Object.entries(BLINDNESS)) {
      for (const [i, a] of STATES.entries()) {
        for (const b of STATES.slice(i + 1)) {
          const apart = distance(theme[a]!, theme[b]!, matrix);
          // About 2 is just visible side by side; signs lie apart on the page.
          assert.ok(apart >= 9, `${a} and ${b}, ${kind}: ${apart.toFixed(1)}`);
        }
      }
    }
  });
});
