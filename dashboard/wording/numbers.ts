/** Numbers as a reader sees them. Every function takes a finite number unless it says otherwise. */

import { numberForm } from "./number-form.ts";

/** Keeps a number and its unit on one line, narrower than a word space. */
export const THIN = "\u202f";
const MINUS = "\u2212";

/** A whole number with thousands kept apart as the reader does: 81,861. */
export function count(n: number): string {
  const { group } = numberForm();
  const digits = String(Math.round(Math.abs(n))).replaceAll(/\B(?=(\d{3})+$)/g, group);
  return n < 0 ? `-${digits}` : digits;
}

/** A count with its noun: "1 unit", "200 units". */
export function counted(n: number, singular: string, plural = `${singular}s`): string {
  return `${count(n)} ${n === 1 ? singular : plural}`;
}

const SMALL = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];

/** A small count in words, as running text has it: "three lots"; from ten on in figures. */
export function countedInWords(n: number, singular: string, plural = `${singular}s`): string {
  return `${SMALL[n] ?? count(n)} ${n === 1 ? singular : plural}`;
}

/** The same at the head of a sentence: "One fluid lot". */
export function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/**
 * A probability as a whole percent. Never 0 and never 100: no forecast is that sure.
 *
 * @param probability 0 to 1.
 */
export function percent(probability: number): string {
  if (probability < 0.01) return `under 1${THIN}%`;
  if (probability > 0.99) return `over 99${THIN}%`;
  return `${Math.round(probability * 100)}${THIN}%`;
}

/** A share that was counted, not forecast: here 0 % and 100 % are facts. */
export function share(part: number): string {
  return `${Math.round(part * 100)}${THIN}%`;
}

/** A fixed number of decimals, parted as the reader does, with a true minus sign: "−0.06"; "0.00" has no sign. */
export function decimal(value: number, digits: number): string {
  const plain = Math.abs(value).toFixed(digits);
  const text = plain.replace(".", numberForm().decimal);
  return value < 0 && Number(plain) !== 0 ? MINUS + text : text;
}

/** As {@link decimal}, with a plus sign where the value is above zero. */
export function signed(value: number, digits: number): string {
  const text = decimal(value, digits);
  return value > 0 && Number(value.toFixed(digits)) !== 0 ? `+${text}` : text;
}

/** A measured number with four significant digits and no exponent: 97.70, 1024, 0.8530. */
export function measured(value: number): string {
  const digits = value === 0 ? 0 : Math.max(0, 3 - Math.floor(Math.log10(Math.abs(value))));
  return decimal(value, digits);
}

/** "a", "a and b", "a, b and c". */
export function listed(parts: readonly string[]): string {
  if (parts.length < 2) return parts.join("");
  return `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}`;
}
