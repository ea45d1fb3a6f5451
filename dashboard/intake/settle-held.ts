import { type Acting, dismiss, type HeldRow, reread, type Store } from "../../ingest/index.ts";
import { HttpError } from "../errors.ts";

/** What can be done about a held row. */
export const SETTLINGS = ["mend", "mend-row", "release", "replace", "dismiss"] as const;
export type Settling = (typeof SETTLINGS)[number];

export function isSettling(text: string): text is Settling {
  return (SETTLINGS as readonly string[]).includes(text);
}

export interface SettlingOrder {
  readonly action: Settling | null;
  /** mend: new values by our names. */
  readonly values: Readonly<Record<string, string>>;
  /** mend-row: the whole row anew. */
  readonly row: string;
}

/** @throws {HttpError} 400 where it is not said what to do. */
export async function settleHeld(
  store: Store,
  held: HeldRow,
  acting: Acting,
  { action, values, row }: SettlingOrder,
): Promise<void> {
  switch (action) {
    case "mend":
      await reread(store, held, "mended", { values }, acting);
      return;
    case "mend-row":
      await reread(store, held, "mended", { row }, acting);
      return;
    case "release":
      await reread(store, held, "released", null, acting);
      return;
    case "replace":
      await reread(store, held, "replaced", null, acting);
      return;
    case "dismiss":
      await dismiss(store, held, acting);
      return;
    case null:
      throw new HttpError(
        400,
        "It is not said what to do.",
        "Use one of the buttons on the row\u2019s page.",
      );
  }
}
