import { Router } from "express";
import { CHECK_VALUES } from "../how/check-values.ts";
import { FIGURE_ENTRIES } from "../how/entries.ts";
import { renderHow } from "../pages/how.ts";
import { answer } from "./answer.ts";

/** `/how`: how every figure is worked out. */
export function howRoutes(): Router {
  const router = Router();
  const page = renderHow();
  const rows = FIGURE_ENTRIES.flatMap(({ id, name, source, checks }) =>
    checks.map(({ value, from }) => {
      const { given, expected, unit } = CHECK_VALUES[value];
      return { id, name, source, given, expected, unit, from };
    }),
  );
  router.get("/how", (request, response) =>
    answer(request, response, {
      html: () => page,
      json: () => ({ figures: rows }),
      csv: () => rows,
      fileName: "how-it-is-figured",
    }),
  );
  return router;
}
