import { fleetAddress } from "../page-models/fleet-query.ts";
import type { TodayPage } from "../page-models/today.ts";
import { counted, countedInWords, listed, sentenceCase } from "./numbers.ts";
import type { Phrase } from "./phrase.ts";

/** What is true of the fleet today: first the units, then what they share. */
export function headline(page: TodayPage): Phrase[] {
  return [...unitsSentence(page), ...sharedSentence(page)];
}

function unitsSentence({ units, states }: TodayPage): Phrase[] {
  const out = states.out;
  const heading = states["heading-out"];
  if (units === 0) return [{ text: "No unit is registered yet." }];
  if (states.unjudged === units) return [{ text: `None of ${counted(units, "unit")} can be judged yet.` }];
  const outLink = { href: fleetAddress({ state: "out" }), state: "out" } as const;
  const headingLink = { href: fleetAddress({ state: "heading-out" }), state: "heading-out" } as const;
  if (out > 0 && heading > 0) {
    return [
      { text: `${out} of ${counted(units, "unit")}`, ...outLink },
      { text: ` ${isOrAre(out)} out of tolerance, and ` },
      { text: `${heading} more`, ...headingLink },
      { text: ` ${isOrAre(heading)} likely to leave it before ${itsOrTheir(heading)} service.` },
    ];
  }
  if (out > 0) {
    return [
      { text: `${out} of ${counted(units, "unit")}`, ...outLink },
      { text: ` ${isOrAre(out)} out of tolerance; no other is likely to leave it before its service.` },
    ];
  }
  if (heading > 0) {
    return [
      { text: `${heading} of ${counted(units, "unit")}`, ...headingLink },
      { text: ` ${isOrAre(heading)} likely to leave tolerance before ${itsOrTheir(heading)} service.` },
    ];
  }
  return [{ text: `None of ${counted(units, "unit")} is likely to leave tolerance before its service.` }];
}

function sharedSentence({ lots, sites }: TodayPage): Phrase[] {
  const unsound = lots.filter((lot) => lot.verdict === "unsound").length;
  const doubtful = lots.length - unsound;
  const behind = sites.filter((site) => site.behind);
  const parts: Phrase[][] = [];
  if (lots.length > 0) {
    const worst = unsound > 0 ? unsound : doubtful;
    const verdict = unsound > 0 ? "unsound" : "doubtful";
    const rest =
      unsound > 0 && doubtful > 0 ? ` and ${countedInWords(doubtful, "more", "more")} doubtful` : "";
    parts.push([
      { text: countedInWords(worst, "fluid lot"), href: "#shared", state: "leaning" },
      { text: ` ${isOrAre(worst)} ${verdict}${rest}` },
    ]);
  }
  if (behind.length > 0) {
    const names = behind.map((site) => site.site);
    const one = behind[0]!;
    const link =
      behind.length === 1
        ? fleetAddress({ site: one.site, state: "overdue" })
        : fleetAddress({ state: "overdue" });
    parts.push([
      {
        text: behind.length > 3 ? countedInWords(behind.length, "site") : listed(names),
        href: link,
        state: "leaning",
      },
      { text: ` ${isOrAre(behind.length)} behind with ${itsOrTheir(behind.length)} checks` },
    ]);
  }
  if (parts.length === 0) return [];
  const joined = parts.flatMap((part, i) => (i === 0 ? part : [{ text: ", and " }, ...part]));
  const [first, ...others] = joined;
  return [{ text: " " }, { ...first!, text: sentenceCase(first!.text) }, ...others, { text: "." }];
}

function isOrAre(n: number): string {
  return n === 1 ? "is" : "are";
}

function itsOrTheir(n: number): string {
  return n === 1 ? "its" : "their";
}
