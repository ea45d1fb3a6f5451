import type { Request, Response } from "express";
import { renderWaiting } from "../pages/waiting.ts";
import type { WaitedFor } from "../wording/standing.ts";

/** A reader is kept so long before the page says what it waits for. Unit: ms. */
const PATIENCE_MS = 150;

/**
 * Waits for what a page is made from; a reader who would wait long is told what is under way instead, and the page
 * comes by itself when it is there. Programs, which do not ask for HTML by name, wait to the end.
 *
 * @param detail How far it is, where that is known.
 * @returns null: the answer has been given.
 */
export async function inTime<T>(
  request: Request,
  response: Response,
  answer: Promise<T>,
  waitedFor: WaitedFor,
  detail: () => Promise<string | null> = async () => null,
): Promise<T | null> {
  const isReader =
    request.headers.accept?.includes("text/html") === true && request.query.format === undefined;
  if (!isReader) return answer;
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<"late">((resolve) => {
    timer = setTimeout(() => resolve("late"), PATIENCE_MS);
  });
  const first = await Promise.race([answer, late]).finally(() => clearTimeout(timer));
  if (first !== "late") return first as T;
  answer.catch(() => {}); // told to whoever asks next
  response
    .status(503)
    .set({ "Retry-After": "3", "Cache-Control": "no-store" })
    .type("html")
    .send(renderWaiting(waitedFor, await detail()));
  return null;
}
