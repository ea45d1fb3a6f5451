import { describe, it } from "vitest";
import { ewmaDriftRunLength } from "../../../analysis/control-charts/drift-run-length.ts";
import { asymptoticSd } from "../../../analysis/control-charts/ewma.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

interface Tables {
  readonly data: {
    readonly gan: { readonly weight: number[]; readonly halfWidth: number[]; readonly drift: number[] };
    readonly aerne: { readonly weight: number[]; readonly limitSigma: number[]; readonly drift: number[] };
  };
  readonly expected: { readonly gan: number[][]; readonly aerne: number[][] };
}

describe("run lengths under a drift", () => {
  const { data, expected } = referenceData<Tables>("drift-run-length");

  it("are those of Aerne, Champ and Rigdon", () => {
    const { weight, limitSigma, drift } = data.aerne;
    againstSource(
      "run length under drift, EWMA",
      "Aerne et al. 1991, table I",
      expected.aerne.flat(),
      weight.flatMap((w, i) =>
        drift.map((d) => ewmaDriftRunLength({ weight: w, limitSigma: limitSigma[i]! }, d)),
      ),
      // The source approximates by a Markov chain.
      { relative: 5e-3 },
    );
  });

  it("are those of Gan, whose first value has no drift yet", () => {
    const { weight, halfWidth, drift } = data.gan;
    againstSource(
      "run length under drift, EWMA, from the value before it",
      "Gan 1991, table 1",
      expected.gan.flat(),
      // A first value without drift: hardly any chart signals there, and a value more is what it costs.
      weight.flatMap((w, i) =>
        drift.map((d) => {
          const design = { weight: w, limitSigma: halfWidth[i]! / asymptoticSd(w) };
          return 1 + ewmaDriftRunLength(design, d);
        }),
      ),
      // Printed to three digits; how the first value scatters, and that one chart in 500 signals at it, is left out.
      { relative: 0.02 },
    );
  });
});
