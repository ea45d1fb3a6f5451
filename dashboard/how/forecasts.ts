import type { FigureEntry } from "./entry.ts";
import { formula, fraction, index, power, root, row } from "./formula.ts";

/** Figures of forecasts, of what units share, and of the record. */
export const FORECAST_FIGURES: readonly FigureEntry[] = [
  {
    id: "leaves-tolerance",
    name: "Leaves tolerance, and the states",
    says: "The probability that a unit\u2019s own error is beyond tolerance on some day before its service. Leaning from 20 %, heading out from 50 %, out where it is likelier than not beyond it today.",
    formula: formula(
      "p equals the probability that the greatest error over tolerance, over the bands and the days to the service, is above 1",
      "p = P (",
      row("max"),
      fraction(row("|", index("q", "b"), "( t ) |"), index("T", "b")),
      "> 1 )",
    ),
    letters:
      "qb the unit\u2019s own error in band b (at 20, 50 and 85 % torque) on day t, without the fluid\u2019s, the bath\u2019s and the single reading\u2019s; Tb the tolerance there.",
    assumes: [
      "Its rates, its wander and the fleet\u2019s rate of steps go on as they were. Steps to come are expected at the fleet\u2019s rate only.",
      "Counted over simulated ways ahead from every explanation of its checks, each with its weight.",
    ],
    source:
      "Wiener degradation with random rates: Lu and Meeker 1993, Whitmore 1995 (from general knowledge). First passage: inverse Gaussian distribution.",
    checks: [{ value: "firstPassage", from: "inverse Gaussian distribution" }],
  },
  {
    id: "stands-today",
    name: "Where a unit stands and heads, and its pattern",
    says: "Its own error today and at its service, with how sure that is; and how much of what its checks show each explanation accounts for.",
    formula: formula(
      "the weight of explanation k is proportional to its share in the fleet times the likelihood of the checks under it",
      index("w", "k"),
      "\u2248",
      index("\u03c0", "k"),
      "P ( checks |",
      "k )",
    ),
    letters:
      "wk weight of explanation k (sound; span, zero, friction or bend drifting), \u03c0k its share in the fleet.",
    assumes: [
      "An error at torque x is zero + span x + bend 4 (x² − x) − friction exp(−x / 12 %), each with a rate and a wander of its own.",
      "A unit\u2019s earlier lives say what to expect of the present one.",
    ],
    source:
      "Kalman filter with diffuse and regression columns: Durbin and Koopman 2012; from memory, de Jong 1991.",
    checks: [{ value: "filter", from: "Durbin and Koopman 2012, ch. 2" }],
  },
  {
    id: "since-when",
    name: "Since when",
    says: "The days by which a unit had left tolerance in 5, 50 and 95 % of the ways in which its life may have gone, all its checks considered.",
    formula: formula(
      "the probability to have been beyond T between two checks is e to the power of minus 2 times T minus a, times T minus c, over sigma squared times the time between",
      "P =",
      power(
        "e",
        row(
          "\u2212",
          fraction(row("2 ( T \u2212 a ) ( T \u2212 c )"), row(power("\u03c3", "2"), "\u0394 t")),
        ),
      ),
    ),
    letters:
      "a and c the error at two checks \u0394t apart, both within the tolerance T; \u03c3² the wander a year.",
    assumes: [
      "Between checks the error goes as a Brownian bridge around its drift; a step lies between the two checks that show it.",
    ],
    source: "Borodin and Salminen, Handbook of Brownian Motion (from general knowledge).",
    checks: [{ value: "crossing", from: "worked to six digits" }],
  },
  {
    id: "fluid-lot",
    name: "Error of a fluid lot",
    says: "How far a lot\u2019s true value is from its certificate, by all the units that share it.",
    formula: formula(
      "u equals the inverse of H plus one over sigma squared, times g",
      "u =",
      power(row("( H + 1 /", power("\u03c3", "2"), ")"), "\u2212 1"),
      "g",
    ),
    letters:
      "u the lots\u2019 and baths\u2019 errors; H and g what the units\u2019 checks say of them once each unit\u2019s own drift is taken out; \u03c3 how far lots usually are off.",
    assumes: [
      "A lot\u2019s error is proportional to torque, for every unit alike.",
      "A lot that only one unit used cannot be told from that unit, and says so.",
    ],
    source: "Mixed model equations, from memory: Henderson 1975; Robinson 1991.",
    checks: [{ value: "lots", from: "Davies and Goldsmith 1972; R lme4" }],
  },
  {
    id: "bath",
    name: "Bath",
    says: "How far a site\u2019s bath is from what its thermometer says.",
    formula: formula(
      "the bath is off by its share of the error over the coefficient",
      "\u0394 t =",
      fraction("u", "b"),
    ),
    letters:
      "u what the site\u2019s checks have in common in a quarter (% of reading), b the lot\u2019s coefficient (% per K).",
    assumes: [
      "Lots with other coefficients tell the bath from the lot.",
      "A constant error of all baths together cannot be told from one of all lots.",
    ],
    source: "The same mixed model; from memory, Henderson 1975.",
    checks: [{ value: "lots", from: "Davies and Goldsmith 1972; R lme4" }],
  },
  {
    id: "came-true",
    name: "How forecasts came true",
    says: "Of the units that were given about the same probability, the share that went out, with what chance leaves open; and how close forecasts were to what came.",
    formula: formula(
      "the Brier score is the mean of p minus o, squared; the skill is 1 minus it over that of the base rate",
      "B =",
      fraction("1", "n"),
      "\u2211",
      power(row("( p \u2212 o )"), "2"),
      ", skill = 1 \u2212",
      fraction("B", index("B", "0")),
    ),
    letters:
      "p forecast, o 1 where the unit went out and 0 where not, n forecasts; B0 the score of always saying the share that goes out.",
    assumes: [
      "Whether a unit went out is judged by its later checks, lots and baths taken away: it did if that is likelier than not.",
    ],
    source: "Brier 1950; Murphy 1973; interval of a share: Wilson 1927.",
    checks: [
      { value: "brier", from: "Brier 1950" },
      { value: "wilson", from: "Wilson 1927" },
    ],
  },
  {
    id: "return-plan",
    name: "Return plan",
    says: "Each unit one week, at the least cost of running out of tolerance, going early, going late and shipping.",
    formula: formula(
      "the plan with the least sum, over the units, of the cost of risk, of weeks early, of weeks late, and of shipments",
      row("min"),
      "\u2211 (",
      index("c", "out"),
      "F + ",
      index("c", "early"),
      "early +",
      index("c", "late"),
      "late ) +",
      index("c", "ship"),
      "shipments",
    ),
    letters:
      "F the probability to be out by the week booked; early and late in weeks; the costs c are settings.",
    assumes: [
      "No week takes in more units than there is room for, nor a site gives away more than it can spare.",
    ],
    source: "Binary program, solved by branch and bound; the costs are our own choice.",
    checks: [{ value: "plan", from: "every plan counted" }],
  },
  {
    id: "earned-interval",
    name: "Earned interval",
    says: "The longest interval between services at whose end the target share of units is still within tolerance.",
    formula: formula(
      "the interval equals c times minus the logarithm of the target, to the power of one over s",
      "I = c",
      power(row("( \u2212 ln R )"), fraction("1", "s")),
    ),
    letters: "R reliability target; c and s scale and shape of the times to go out (s = 1: a constant rate).",
    assumes: [
      "By drift: the horizon at which a unit\u2019s own risk reaches 1 − R. Longer only where that is sure; shorter by the estimate alone.",
    ],
    source:
      "ILAC-G24:2022 / OIML D 10:2022, methods of chapter 6; interval-censored fit: Finkelstein and Wolfe 1985.",
    checks: [{ value: "interval", from: "worked by hand" }],
  },
  {
    id: "checks-on-time",
    name: "Checks on time",
    says: "The share of the last half year\u2019s checks that came no later than the unit\u2019s use asks for.",
    formula: formula(
      "a check is late after one and a half times the usual days and two more",
      "gap > 1.5 d + 2",
    ),
    letters: "d the days between checks that the settings ask for.",
    assumes: [
      "A gap that is still open counts once it is late. A site with fewer than 90 % on time is behind.",
    ],
    source: "How often: common practice, no source; half as long again and a weekend: our own choice.",
    checks: [{ value: "lateAfter", from: "worked by hand" }],
  },
  {
    id: "site-scatter",
    name: "Scatter of a site",
    says: "How well the checks of a site\u2019s units agree with the check before: what handling, filling and temperature do there.",
    formula: formula(
      "s equals the root of the sum of squared differences between neighbours, over 2 n",
      "s =",
      root(fraction(row("\u2211", power("d", "2")), "2 n")),
    ),
    letters:
      "d the difference between a check\u2019s mean error and that of the check before (% of full scale), n differences; the last half year.",
    assumes: [
      "Only checks with the same fluid lot, no service in between, in which the same bands were read: a slow drift adds next to nothing.",
    ],
    source: "Mean square successive difference: von Neumann 1941 (from general knowledge).",
    checks: [{ value: "neighbours", from: "worked by hand" }],
  },
];
