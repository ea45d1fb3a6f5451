import { type Request, urlencoded } from "express";

/** Reads small forms: a few fields, some ticks. */
export const smallForm = urlencoded({ extended: false, limit: "32kb", parameterLimit: 500 });

/** One field of a form, as it was typed; empty where it was not sent, or more than once. */
export function fieldOf(request: Request, name: string): string {
  const value = (request.body as Record<string, unknown> | undefined)?.[name];
  return typeof value === "string" ? value : "";
}

/** Everything that was ticked under one name. */
export function ticksOf(request: Request, name: string): readonly string[] {
  const value = (request.body as Record<string, unknown> | undefined)?.[name];
  if (Array.isArray(value)) return value.filter((one) => typeof one === "string");
  return typeof value === "string" ? [value] : [];
}
