import type { FigureEntry } from "./entry.ts";
import { formula, fraction, index, power, root, row } from "./formula.ts";

/** Figures of control charts and of what they raise. */
export const CHART_FIGURES: readonly FigureEntry[] = [
  {
    id: "level-chart",
    name: "Level chart",
    says: "Whether a quantity has moved from where it stood after the last adjustment.",
    formula: formula(
      "w i equals 1 minus lambda, times w i minus 1, plus lambda z i; a signal where its size is above L times the root of lambda over 2 minus lambda",
      index("w", "i"),
      "= ( 1 \u2212 \u03bb )",
      index("w", "i\u22121"),
      "+ \u03bb",
      index("z", "i"),
      ", |",
      index("w", "i"),
      "| > L",
      root(fraction("\u03bb", "2 \u2212 \u03bb")),
    ),
    letters:
      "zi a check\u2019s distance from the baseline in sigma, \u03bb = 0.2, L the limit that the budget sets.",
    assumes: [
      "Limits are frozen from the first checks after a service, with the baseline\u2019s own uncertainty in them, and never move by themselves.",
      "Lot and bath are taken away first; a single stray check is clipped.",
    ],
    source: "Weighted moving average: NIST/SEMATECH e-Handbook, 6.3.2.4; Lucas and Saccucci 1990.",
    checks: [{ value: "ewma", from: "NIST/SEMATECH e-Handbook, 6.3.2.4" }],
  },
  {
    id: "individuals",
    name: "Single checks and their ranges",
    says: "Whether a check stands apart from those the limits were frozen from, and from the check before it.",
    formula: formula(
      "the limits are the mean plus or minus three times the mean moving range over 2 over the root of pi",
      index("x", "mean"),
      "\u00b1 3",
      fraction(index("R", "mean"), row("2 /", root("\u03c0"))),
    ),
    letters: "x the checks that the limits are frozen from, R the distances between neighbours.",
    assumes: [
      "A drift or a step widens these limits: they are shown beside the other charts and never set them.",
    ],
    source: "NIST/SEMATECH e-Handbook, 6.3.2.2.",
    checks: [{ value: "individuals", from: "NIST/SEMATECH e-Handbook, 6.3.2.2" }],
  },
  {
    id: "false-alarms",
    name: "False alarms and what a budget costs",
    says: "How far a chart\u2019s limits lie out, so that the whole fleet has no more false alarms a month than it may; and how late a shift is then signalled.",
    formula: formula(
      "the run length is the number of values a month over the false alarms a month",
      "run length =",
      fraction("charts \u00d7 checks a month", "false alarms a month"),
    ),
    letters:
      "Run length: values until a false alarm, on average. The limit follows from it by an integral equation.",
    assumes: [
      "Values are independent and normal where nothing has happened.",
      "At least one and at most ten false alarms a month for a fleet.",
    ],
    source:
      "Lucas and Saccucci 1990 (designs). From memory: Crowder 1987 (integral equation); Gan 1991 (drifts).",
    checks: [{ value: "runLength", from: "Lucas and Saccucci 1990, recomputed" }],
  },
  {
    id: "scatter",
    name: "Scatter chart",
    says: "Whether a unit repeats worse than it did, within a check and between checks.",
    formula: formula(
      "V i equals the greater of 0 and V i minus 1 plus z i squared minus k",
      index("V", "i"),
      "= max ( 0 ,",
      index("V", "i\u22121"),
      "+",
      power(index("z", "i"), "2"),
      "\u2212 k ) , k =",
      fraction(row("ln", power("g", "2")), row("1 \u2212 1 /", power("g", "2"))),
    ),
    letters:
      "zi a check\u2019s distance from its baseline in sigma, g = 1.5 the scatter that the chart is made to find.",
    assumes: ["The distances are normal with the scatter of the baseline where nothing has happened."],
    source: "Hawkins and Olwell 1998 (from general knowledge).",
    checks: [{ value: "dispersion", from: "worked by hand" }],
  },
  {
    id: "review-list",
    name: "Review list",
    says: "Units worth a look this week: of those on it, one in ten may be there by chance.",
    formula: formula(
      "list the first k, k being the greatest i for which p i is at most i times Q over m",
      "k = max ( i :",
      index("p", "i"),
      "\u2264",
      fraction("i Q", "m"),
      ")",
    ),
    letters: "pi the i-th least probability that a sound unit looks so, m units, Q = 0.10.",
    assumes: ["Units are judged one by one once lots and baths are taken away."],
    source: "Benjamini and Hochberg 1995.",
    checks: [{ value: "discoveries", from: "Benjamini and Hochberg 1995" }],
  },
];
