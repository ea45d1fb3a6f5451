import type { FigureEntry } from "./entry.ts";
import { formula, fraction, index, power, row } from "./formula.ts";

/** Figures of readings and checks. */
export const READING_FIGURES: readonly FigureEntry[] = [
  {
    id: "error-over-tolerance",
    name: "Error over tolerance",
    says: "How much of the tolerance a reading uses. Beyond 1 either way it is out.",
    formula: formula(
      "r equals e over T; T equals f times v over 100, plus a plus s, times R over 100",
      "r =",
      fraction("m \u2212 v", "T"),
      ",",
      "T =",
      fraction("f", "100"),
      "v +",
      fraction("a + s", "100"),
      "R",
    ),
    letters:
      "m reading, v certified value of the fluid, R full-scale range (mPa·s); f, a and s the tolerance of fluid (% of its value), instrument and accessory (% of full scale).",
    assumes: [
      "The shares are added, as an agreed limit for the worst case; the settings can have the root of the sum of squares instead.",
      "A check is judged by the settings of its day.",
    ],
    source: "Sum: common practice, no source. Root of the sum of squares: JCGM 100:2008, 5.1.2.",
    checks: [{ value: "tolerance", from: "worked by hand" }],
  },
  {
    id: "error-full-scale",
    name: "Error in % of full scale, expected torque",
    says: "The scale on which checks with other speeds, geometries and fluids compare: the error of the spring\u2019s deflection.",
    formula: formula(
      "x equals 100 v over R; q equals 100 times m minus v, over R",
      "x =",
      fraction("100 v", "R"),
      ",",
      "q =",
      fraction("100 ( m \u2212 v )", "R"),
    ),
    letters: "x expected torque and q error (% of full scale); m, v, R as above.",
    assumes: [
      "Readings below 10 % torque are not judged; bands: low 10 to 30 %, medium 30 to 70 %, high above 70 %.",
    ],
    source: "Definition; ASTM E2975-23 describes the check. Bands: common practice, no source.",
    checks: [{ value: "torque", from: "worked by hand" }],
  },
  {
    id: "full-scale-range",
    name: "Full-scale range",
    says: "The viscosity that would read 100 % torque at a speed, where a file does not give it.",
    formula: formula(
      "R equals the spring's torque times the squared outer radius minus the squared inner one, over 4 pi L c omega times both squares",
      "R =",
      fraction(
        row("M", "(", power(index("R", "o"), "2"), "\u2212", power(index("R", "i"), "2"), ")"),
        row("4 \u03c0 L c \u03c9", power(index("R", "i"), "2"), power(index("R", "o"), "2")),
      ),
    ),
    letters:
      "M full-scale torque, Ri and Ro radius of bob and cup, L length of the bob, c end factor, \u03c9 angular speed.",
    assumes: ["Laminar flow of a Newtonian fluid, the bob turning in the middle of the cup."],
    source:
      "Margules 1881; ISO 3219:1993 and DIN 53019-1 for the standard geometry (from general knowledge).",
    checks: [{ value: "range", from: "worked by hand" }],
  },
  {
    id: "fluid-temperature",
    name: "Fluid value at the temperature it had",
    says: "What a fluid\u2019s certified value becomes where its temperature was another than the certificate\u2019s.",
    formula: formula(
      "eta equals eta c times e to the power of b over 100 times the temperature difference",
      "\u03b7 =",
      index("\u03b7", "c"),
      power("e", row(fraction("b", "100"), "( t \u2212", index("t", "c"), ")")),
    ),
    letters:
      "\u03b7c certified value at the temperature tc, t measured temperature of the fluid, b its coefficient (% per K, negative).",
    assumes: [
      "Only for a measured temperature, at most half a kelvin off, with the lot\u2019s own coefficient.",
      "Verdicts are corrected only where the settings say so.",
    ],
    source: "Andrade\u2019s law, expanded about the certificate\u2019s temperature.",
    checks: [{ value: "temperature", from: "worked by hand" }],
  },
  {
    id: "linearity",
    name: "Zero, span and their line",
    says: "How a unit\u2019s error lies along the torque: where it starts, and how it grows.",
    formula: formula("q equals z plus p times x over 100", "q = z + p", fraction("x", "100")),
    letters: "q error, z zero and p span (% of full scale), x expected torque (%).",
    assumes: [
      "The expected torque is known: it comes from the certificate, not from the reading.",
      "What the readings of one check share (fluid, temperature, filling) is proportional to torque; it widens the span and leaves the zero alone.",
    ],
    source:
      "Weighted least squares; AIAG, Measurement Systems Analysis, 4th edition, III-B; JCGM 100:2008, H.3.",
    checks: [{ value: "slope", from: "AIAG MSA, 4th edition, III-B" }],
  },
  {
    id: "nonlinearity",
    name: "Bend in the middle",
    says: "How far the error at medium torque is from the straight line between low and high torque.",
    formula: formula(
      "N equals q 2 minus the mean of q 1 and q 3, weighted by where x 2 lies between them",
      "N =",
      index("q", "2"),
      "\u2212 ( 1 \u2212 \u03bb )",
      index("q", "1"),
      "\u2212 \u03bb",
      index("q", "3"),
      ", \u03bb =",
      fraction(
        row(index("x", "2"), "\u2212", index("x", "1")),
        row(index("x", "3"), "\u2212", index("x", "1")),
      ),
    ),
    letters: "q1, q2, q3 errors (% of full scale) at the torques x1 < x2 < x3.",
    assumes: [
      "With one fluid, torque and speed go together: it is called a fault of the spring only after a second fluid shows the same at other speeds.",
    ],
    source: "Second difference; arithmetic.",
    checks: [{ value: "bend", from: "worked by hand" }],
  },
];
