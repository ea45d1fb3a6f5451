import { parseNumber } from "../columns/parse-number.ts";
import type { OpenedFile } from "../open-file.ts";
import { readRecords } from "../read-records.ts";
import { recordProblem } from "../record-fields.ts";
import type { RangeConstants } from "./range-constants.ts";
import { readingTextsOf } from "./reading-texts.ts";

/** Goes through a file of readings once for the full-scale ranges that its checks use. */
export async function learnRanges(
  file: OpenedFile,
  ranges: RangeConstants,
  onBytes: (count: number) => void,
): Promise<void> {
  const textsOf = readingTextsOf(file);
  const { toOwnUnit } = file.profile;
  const number = (text: string, column: "speed_rpm" | "full_scale_range_mpas") => {
    const value = parseNumber(text, file.decimal);
    return toOwnUnit[column]?.(value) ?? value;
  };
  let check = -1;
  let checkedAt: string | null = null;
  for await (const { columns, records } of readRecords(file, file.decimal, onBytes)) {
    for (const record of records) {
      if (recordProblem(record) !== null) continue;
      for (const { text } of textsOf(columns, record)) {
        if (text.checked_at !== checkedAt) {
          check++;
          checkedAt = text.checked_at;
        }
        const constant =
          number(text.speed_rpm, "speed_rpm") * number(text.full_scale_range_mpas, "full_scale_range_mpas");
        if (text.instrument !== "" && constant > 0 && Number.isFinite(constant)) {
          ranges.learn(text.instrument, text.geometry, constant, check);
        }
      }
    }
  }
}
