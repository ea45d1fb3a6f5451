import type { Request, Response } from "express";
import { HttpError } from "../errors.ts";
import { type FigureRow, toCsv } from "../tables/csv.ts";

/** One page in the three forms it may be asked for, each made only when it is asked for. */
export interface Answers {
  readonly html: () => string | Promise<string>;
  readonly json: () => unknown;
  readonly csv: () => readonly FigureRow[];
  /** Name of the CSV file, without its ending. */
  readonly fileName: string;
}

/**
 * Answers with the page, or with its figures where the address says `format=json` or `format=csv`.
 *
 * @throws {HttpError} 400 for another format.
 */
export async function answer(request: Request, response: Response, answers: Answers): Promise<void> {
  const format = request.query.format;
  switch (format) {
    case undefined:
      response.type("html").send(await answers.html());
      return;
    case "json":
      response.json(answers.json());
      return;
    case "csv":
      response.attachment(`${answers.fileName}.csv`).type("csv").send(toCsv(answers.csv()));
      return;
    default:
      throw new HttpError(
        400,
        "This format is not to be had.",
        "Leave format out for the page, or say format=json or format=csv.",
      );
  }
}
