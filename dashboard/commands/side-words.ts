import type { Side } from "../page-models/side-by-side.ts";
import { decimal, signed } from "../wording/numbers.ts";
import { choiceName, differenceText } from "../wording/side-by-side.ts";
import { textTable } from "./text-table.ts";

/** Lines of error along the torque side by side, for a terminal; nothing where there is but one. */
export function sidesInWords(sides: readonly Side[]): string {
  if (sides.length < 2) return "";
  const withSe = (value: number | null | undefined, se: number | null | undefined) =>
    value == null || se == null ? "not known" : `${signed(value, 2)} ± ${decimal(se, 2)}`;
  const table = textTable(
    ["side by side, % of full scale", ">zero", ">span", ">departure at mid-range", ">checks"],
    sides.map(({ choice, fit }) => [
      daysOf(choiceName(choice), choice.instrument),
      withSe(fit?.zero, fit?.zeroSe),
      withSe(fit?.span, fit?.spanSe),
      withSe(fit?.nonlinearity, fit?.nonlinearitySe),
      String(fit?.checks ?? 0),
    ]),
  );
  const told = sides.slice(1).map((side) => {
    return `  - ${daysOf(choiceName(side.choice), side.choice.instrument)}: ${differenceText(side)}`;
  });
  return `${table}${told.join("\n")}`;
}

/** The unit is the same on every line. */
function daysOf(name: string, instrument: string): string {
  return name.slice(instrument.length + 2);
}
