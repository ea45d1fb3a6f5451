import type { Html } from "../pages/layout.ts";
import type { CheckName } from "./check-values.ts";

/** One figure that pages name: what it is, how it is worked out, and what that was held against. */
export interface FigureEntry {
  /** Its anchor: `/how#id`. */
  readonly id: string;
  readonly name: string;
  /** What it says, in one or two sentences. */
  readonly says: string;
  readonly formula: Html;
  /** What the letters stand for, with their units. */
  readonly letters: string;
  readonly assumes: readonly string[];
  /** Where the method is published, or that it is common practice. */
  readonly source: string;
  readonly checks: readonly { readonly value: CheckName; readonly from: string }[];
}
