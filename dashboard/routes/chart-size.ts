import type { Request } from "express";
import { type SizeName, WIDTHS } from "../charts/theme.ts";
import { HttpError } from "../errors.ts";

/**
 * The width that a live chart is to have, from `?size=`; wide if left out.
 *
 * @throws {HttpError} 400 for a size that is not drawn.
 */
export function sizeAsked(request: Request): SizeName {
  const size = request.query.size ?? "wide";
  const found = (Object.keys(WIDTHS) as SizeName[]).find((name) => name === size);
  if (found === undefined) {
    throw new HttpError(
      400,
      "Charts are not drawn in this size.",
      "Say size=narrow, size=middle or size=wide.",
    );
  }
  return found;
}
