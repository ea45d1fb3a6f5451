/**
 * The published or hand-worked figures that the analysis is held against, one place for the page and for the tests: a test
 * works each of them out anew, and holds those of a published data set against that data set.
 */
export interface CheckValue {
  /** What is given, in words. */
  readonly given: string;
  readonly expected: number;
  /** Decimals that the source gives, or that the computation is good to. */
  readonly decimals: number;
  readonly unit: string;
}

export const CHECK_VALUES = {
  tolerance: {
    given:
      "fluid 97.7 mPa·s, full-scale range 211.9 mPa·s, no accessory, reading 99.5 mPa·s: error over tolerance",
    expected: 0.5814,
    decimals: 4,
    unit: "",
  },
  torque: {
    given: "fluid 100 mPa·s, full-scale range 200 mPa·s",
    expected: 50,
    decimals: 0,
    unit: "% torque",
  },
  range: {
    given: "bob radius 12.5 mm in the standard geometry, spring 900 µN·m, 60 min⁻¹",
    expected: 265.41,
    decimals: 2,
    unit: "mPa·s",
  },
  temperature: {
    given: "fluid 500 mPa·s, 0.2 K too warm, coefficient −2 % per K",
    expected: 498.004,
    decimals: 3,
    unit: "mPa·s",
  },
  firstPassage: {
    given: "a level of 0 that drifts by 1 a year and wanders with variance 0.25 a year, limit 1.5, one year",
    expected: 0.205309,
    decimals: 6,
    unit: "",
  },
  filter: {
    given: "flow of the Nile 1871 to 1970, variances 15098.5 and 1469.2: last level",
    expected: 798.37,
    decimals: 2,
    unit: "",
  },
  crossing: {
    given: "0.6 at one check and 1.2 a year later, tolerance 1.5, wander 0.25 a year: beyond it in between",
    expected: 0.115325,
    decimals: 6,
    unit: "",
  },
  slope: {
    given: "sixty readings of five parts: slope of bias on reference value",
    expected: -0.131667,
    decimals: 6,
    unit: "",
  },
  bend: {
    given: "errors 0.10, 0.05 and 0.62 % of full scale at 20, 50 and 85 % torque",
    expected: -0.29,
    decimals: 2,
    unit: "% of full scale",
  },
  individuals: {
    given: "ten flow rates, mean moving range with divisor 2 / √π: upper limit",
    expected: 55.8024,
    decimals: 4,
    unit: "",
  },
  ewma: {
    given: "twenty values, start 50, weight 0.3, sigma 2.0539, three sigma: upper limit",
    expected: 52.5884,
    decimals: 4,
    unit: "",
  },
  runLength: {
    given: "weight 0.2, limits at 2.962 sigma: values to a false alarm, on average",
    expected: 499.7,
    decimals: 1,
    unit: "values",
  },
  discoveries: {
    given: "the fifteen p-values of the paper, rate 0.05: how many are listed",
    expected: 4,
    decimals: 0,
    unit: "",
  },
  dispersion: {
    given: "tuned to a scatter one and a half times as large: what is taken off each square",
    expected: 1.4597,
    decimals: 4,
    unit: "",
  },
  lots: {
    given: "penicillin, 24 plates and 6 samples, variances as published: effect of sample A",
    expected: 2.18706,
    decimals: 5,
    unit: "",
  },
  brier: {
    given: "the constructed forecasts of the reference file: mean squared difference",
    expected: 0.166,
    decimals: 3,
    unit: "",
  },
  wilson: { given: "6 of 80: lower end of the 95 % interval", expected: 0.0348, decimals: 4, unit: "" },
  lateAfter: { given: "checked every 7 days: late after", expected: 12.5, decimals: 1, unit: "days" },
  neighbours: {
    given: "four checks of 10, 12, 11 and 13",
    expected: 1.2247,
    decimals: 4,
    unit: "",
  },
  interval: {
    given: "out at a rate of 0.10 a year, target 95 %: interval",
    expected: 0.513,
    decimals: 3,
    unit: "years",
  },
  plan: {
    given: "five units, four weeks, all 1,024 plans counted: cost of the best",
    expected: 74,
    decimals: 0,
    unit: "",
  },
} as const satisfies Readonly<Record<string, CheckValue>>;

export type CheckName = keyof typeof CHECK_VALUES;
