import { describe, it } from "vitest";
import {
  alarmBudget,
  cusumInterval,
  dispersionInterval,
  ewmaLimit,
  individualsLimit,
} from "../../../analysis/control-charts/alarm-limits.ts";
import { dispersionRunLength } from "../../../analysis/control-charts/dispersion.ts";
import {
  cusumRunLength,
  ewmaRunLength,
  individualsRunLength,
  oneSidedCusumRunLength,
} from "../../../analysis/control-charts/run-length.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

interface EwmaRow {
  readonly lambda: number;
  readonly L: number;
  readonly arl: number[];
}
interface Grid {
  readonly data: { readonly shift: number[] };
  readonly expected: {
    readonly shewhart3sigma: number[];
    readonly ewmaFixedLimits: EwmaRow[];
    readonly ewmaTimeVaryingLimits: EwmaRow[];
    readonly cusum: { k: number; h: number; oneSided: number[]; twoSided: number[] }[];
    readonly cusumFastInitialResponse: { k: number; h: number; headstart: number; twoSided: number[] }[];
    readonly ewmaCritical: { lambda: number; arl0: number; L: number }[];
    readonly cusumCritical: { k: number; arl0: number; h: number }[];
  };
}

const {
  data: { shift },
  expected: grid,
} = referenceData<Grid>("arl-grid");
const atShifts = (runLength: (shift: number) => number) => shift.map(runLength);

describe("run lengths against the computed grid", () => {
  const source = "R spc 0.6.7 (integral equation)";
  // The grid is good to some 1e-8 at its far ends.
  const allowed = { relative: 5e-8 };

  it("individuals and EWMA", () => {
    againstSource(
      "run length, individuals",
      source,
      grid.shewhart3sigma,
      atShifts((s) => individualsRunLength(3, s)),
      allowed,
    );
    const fixed = grid.ewmaFixedLimits;
    const got = fixed.flatMap(({ lambda, L }) =>
      atShifts((s) => ewmaRunLength({ weight: lambda, limitSigma: L }, s)),
    );
    againstSource(
      "run length, EWMA",
      source,
      fixed.flatMap((row) => row.arl),
      got,
      allowed,
    );
    const varying = grid.ewmaTimeVaryingLimits;
    const gotVarying = varying.flatMap(({ lambda, L }) =>
      atShifts((s) => ewmaRunLength({ weight: lambda, limitSigma: L, limits: "exact" }, s)),
    );
    againstSource(
      "run length, EWMA with exact limits",
      source,
      varying.flatMap((row) => row.arl),
      gotVarying,
      allowed,
    );
  });

  it("CUSUM, one- and two-sided, with and without head start", () => {
    const rows = grid.cusum.map((row) => ({ ...row, design: { allowance: row.k, decisionInterval: row.h } }));
    const two = rows.flatMap(({ design }) => atShifts((s) => cusumRunLength(design, s)));
    const one = rows.flatMap(({ design }) => atShifts((s) => oneSidedCusumRunLength(design, s)));
    againstSource(
      "run length, CUSUM",
      source,
      rows.flatMap((row) => row.twoSided),
      two,
      allowed,
    );
    againstSource(
      "run length, one-sided CUSUM",
      source,
      rows.flatMap((row) => row.oneSided),
      one,
      allowed,
    );
    const started = grid.cusumFastInitialResponse;
    const fast = started.flatMap(({ k, h, headstart }) =>
      atShifts((s) => cusumRunLength({ allowance: k, decisionInterval: h, headStart: headstart }, s)),
    );
    againstSource(
      "run length, CUSUM with head start",
      source,
      started.flatMap((row) => row.twoSided),
      fast,
      allowed,
    );
  });

  it("limits for a given run length", () => {
    const ewma = grid.ewmaCritical;
    const L = ewma.map(({ lambda, arl0 }) => ewmaLimit(lambda, arl0));
    againstSource(
      "limit, EWMA",
      source,
      ewma.map((row) => row.L),
      L,
      { relative: 1e-6 },
    );
    const cusum = grid.cusumCritical;
    const h = cusum.map(({ k, arl0 }) => cusumInterval(k, arl0));
    againstSource(
      "decision interval, CUSUM",
      source,
      cusum.map((row) => row.h),
      h,
      { relative: 1e-6 },
    );
  });
});

/** Printed with three digits above 10, else with one decimal. */
function againstPrinted(chart: string, source: string, printed: number[], got: number[]): void {
  const pick = (list: number[], long: boolean) => list.filter((_, i) => printed[i]! >= 10 === long);
  againstSource(`${chart}, run lengths from 10`, source, pick(printed, true), pick(got, true), {
    relative: 5e-3,
  });
  againstSource(`${chart}, run lengths below 10`, source, pick(printed, false), pick(got, false), {
    absolute: 0.06,
  });
}

describe("run lengths against published tables", () => {
  interface Published {
    readonly expected: {
      readonly ewmaLucasSaccucci: { lambda: number; L: number; published: number[]; recomputed: number[] }[];
      readonly cusum: { k: number; h: number; published: number[] }[];
      readonly hawkinsH: { k: number[]; recomputed: number[] };
    };
  }
  const { expected } = referenceData<Published>("arl-published");

  it("Lucas and Saccucci 1990, Lucas and Crosier 1982, Hawkins 1993", () => {
    const ewma = expected.ewmaLucasSaccucci;
    const gotEwma = ewma.flatMap(({ lambda, L }) =>
      atShifts((s) => ewmaRunLength({ weight: lambda, limitSigma: L }, s)),
    );
    againstPrinted(
      "EWMA",
      "Lucas and Saccucci 1990, from memory",
      ewma.flatMap((r) => r.published),
      gotEwma,
    );
    const cusum = expected.cusum;
    const gotCusum = cusum.flatMap(({ k, h }) =>
      atShifts((s) => cusumRunLength({ allowance: k, decisionInterval: h }, s)),
    );
    againstPrinted(
      "CUSUM",
      "Lucas and Crosier 1982, from memory",
      cusum.flatMap((r) => r.published),
      gotCusum,
    );
    const { k, recomputed } = expected.hawkinsH;
    againstSource(
      "h for a run length of 370",
      "Hawkins 1993, recomputed",
      recomputed,
      k.map((value) => cusumInterval(value, 370)),
      {
        relative: 1e-6,
      },
    );
  });
});

describe("limits from a budget, as worked by hand", () => {
  const source = "worked by hand";

  it("200 units with 3 quantities and 2 charts each, checked weekly", () => {
    const { falseAlarmsPerMonth, streams, runLength } = alarmBudget(200, 6, 4.35, 1);
    againstSource(
      "budget: alarms, streams, run length",
      source,
      [2, 1200, 2610],
      [falseAlarmsPerMonth, streams, runLength],
      {
        absolute: 1e-9,
      },
    );
    againstSource("EWMA limit for it", source, 3.47, ewmaLimit(0.2, runLength), { absolute: 5e-3 });
  });

  it("limits at some run lengths, and what the scatter chart costs", () => {
    const lengths = [200, 500, 1000, 2000, 5000, 10_000];
    againstSource(
      "limit, individuals",
      source,
      [2.807, 3.09, 3.291, 3.481, 3.719, 3.891],
      lengths.map(individualsLimit),
      {
        absolute: 6e-4,
      },
    );
    const scatter = lengths.slice(1).map((length) => dispersionInterval(length));
    againstSource("decision interval, scatter", source, [12.2, 14.5, 17, 20.2, 22.7], scatter, {
      absolute: 0.06,
    });
    const delays = scatter.map((h) => dispersionRunLength(h, 1.5));
    againstSource("checks until 1.5 sigma is found", source, [16, 19, 22, 27, 30], delays, { absolute: 0.6 });
  });
});
