import { z } from "zod";
import type { Action } from "../access/roles.ts";
import type { ServiceAnswers } from "../assessment/service-desk.ts";
import type { Assessment } from "../assessment/views.ts";
import type { IntakeDesk } from "../intake/desk.ts";

/** What answers are made from; all of it knows who asks. */
export interface ApiParts {
  readonly assessment: Assessment;
  readonly service: ServiceAnswers;
  readonly desk: IntakeDesk;
}

/** What an endpoint gives beside its document. */
export interface Given {
  readonly document: unknown;
  /** Where a list is given in parts: all there are, and from where. */
  readonly part?: { readonly total: number; readonly offset: number; readonly limit: number };
  /** By which a change says what it has seen; left out: a digest of the document. */
  readonly tag?: string;
}

/** One address of the API: its route, the check of its requests and its description are made from this. */
export interface Endpoint<Parameters extends z.ZodObject = z.ZodObject, Body extends z.ZodType = z.ZodType> {
  readonly method: "GET" | "POST";
  /** Below `/api`, parts that vary as ":name". */
  readonly path: string;
  readonly action: Action;
  /** What it gives or does, as one sentence. */
  readonly summary: string;
  /** Of the path and of the query. */
  readonly parameters: Parameters;
  /** null: the request has none. */
  readonly body: Body | null;
  readonly answer: z.ZodType;
  /** Whether a change must say by `If-Match` what it has seen. */
  readonly ifMatch?: true;
  readonly give: (
    parts: ApiParts,
    asked: {
      readonly parameters: z.infer<Parameters>;
      readonly body: z.infer<Body>;
      readonly seen: string | null;
    },
  ) => Promise<Given>;
}

/** Keeps the types of an endpoint's parameters and body for its own function, and forgets them for the list. */
export function endpoint<Parameters extends z.ZodObject, Body extends z.ZodType>(
  described: Endpoint<Parameters, Body>,
): Endpoint {
  return described as unknown as Endpoint;
}

export const NOTHING = z.object({});

/** Which part of a list: how many at once, and from which on. */
export const PART = z.object({
  limit: z.coerce.number().int().min(1).max(1000).default(100).meta({ description: "How many at once." }),
  offset: z.coerce
    .number()
    .int()
    .min(0)
    .max(10_000_000)
    .default(0)
    .meta({ description: "How many are passed over." }),
});

export function partOf<Row>(
  rows: readonly Row[],
  { limit, offset }: { readonly limit: number; readonly offset: number },
): { readonly rows: readonly Row[]; readonly part: NonNullable<Given["part"]> } {
  return { rows: rows.slice(offset, offset + limit), part: { total: rows.length, offset, limit } };
}
