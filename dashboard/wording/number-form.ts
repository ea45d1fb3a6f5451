import { AsyncLocalStorage } from "node:async_hooks";

/** How a reader writes numbers. Digits are always 0 to 9. */
export interface NumberForm {
  /** Stands for it in keys of what is kept. */
  readonly name: string;
  readonly decimal: string;
  /** Keeps thousands apart; empty where none does. */
  readonly group: string;
}

const ENGLISH: NumberForm = { name: ".,", decimal: ".", group: "," };

const forms = new AsyncLocalStorage<NumberForm>();

/** Answers a reader with numbers written their way. */
export function inNumberForm<T>(form: NumberForm, work: () => T): T {
  return forms.run(form, work);
}

/** As whoever reads writes numbers; commands and programs read the English way. */
export function numberForm(): NumberForm {
  return forms.getStore() ?? ENGLISH;
}

/**
 * How the languages that a browser prefers write numbers: of the first of them that is known.
 *
 * @param accepted The header Accept-Language; RFC 9110, 12.5.4.
 */
export function numberFormOf(accepted: string | undefined): NumberForm {
  const [first] = (accepted ?? "")
    .split(",")
    .map((part) => {
      const [tag = "", ...parameters] = part.trim().split(";");
      const quality = parameters
        .find((one) => one.trim().startsWith("q="))
        ?.trim()
        .slice(2);
      return { tag: tag.trim(), quality: quality === undefined ? 1 : Number(quality) };
    })
    .filter(({ tag, quality }) => quality > 0 && isKnown(tag))
    .sort((a, b) => b.quality - a.quality);
  if (first === undefined) return ENGLISH;
  const parts = new Intl.NumberFormat(`${first.tag}-u-nu-latn`).formatToParts(1_234_567.5);
  const of = (type: string) => parts.find((part) => part.type === type)?.value;
  const [decimal, group] = [of("decimal") ?? ".", of("group") ?? ""];
  return { name: decimal + group, decimal, group };
}

function isKnown(tag: string): boolean {
  try {
    return !tag.includes("-u-") && Intl.NumberFormat.supportedLocalesOf([tag]).length > 0;
  } catch {
    // No language at all, as "*".
    return false;
  }
}
