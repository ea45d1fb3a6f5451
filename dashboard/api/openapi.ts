import { readFileSync } from "node:fs";
import { z } from "zod";
import { rolesFor } from "../access/roles.ts";
import type { Endpoint } from "./endpoint.ts";

/**
 * The API as an OpenAPI 3.1 document, made from the same schemas that check the requests.
 *
 * Source: OpenAPI Specification 3.1.1; problem details as in RFC 9457.
 */
export function openApi(endpoints: readonly Endpoint[]): Record<string, unknown> {
  const paths: Record<string, Record<string, unknown>> = {
    "/api/intake": { post: INTAKE },
  };
  for (const one of endpoints) {
    const path = `/api${one.path.replaceAll(/:(\w+)/g, "{$1}")}`;
    paths[path] ??= {};
    paths[path][one.method.toLowerCase()] = operation(one);
  }
  return {
    openapi: "3.1.1",
    info: {
      title: "Springtide",
      version: version(),
      description:
        "What the pages show and do. A forecast is a probability under stated assumptions and no statement of conformity.",
    },
    servers: [{ url: "/" }],
    security: [{ token: [] }],
    paths,
    components: {
      securitySchemes: { token: { type: "http", scheme: "bearer" } },
      schemas: { Problem: PROBLEM },
    },
  };
}

/** The scheme of an endpoint's parameters or body, as JSON Schema 2020-12. */
export function jsonSchema(schema: z.ZodType, io: "input" | "output"): Record<string, unknown> {
  const { $schema: _, ...rest } = z.toJSONSchema(schema, { target: "draft-2020-12", io });
  return rest;
}

/** One parameter of an endpoint, for the document and for the page. */
export interface Parameter {
  readonly name: string;
  readonly in: "path" | "query";
  readonly required: boolean;
  readonly description?: string;
  readonly schema: Record<string, unknown>;
}

export function parametersOf({ path, parameters }: Endpoint): Parameter[] {
  const { properties = {}, required = [] } = jsonSchema(parameters, "input") as {
    properties?: Record<string, Record<string, unknown>>;
    required?: string[];
  };
  return Object.entries(properties).map(([name, { description, ...schema }]) => {
    const isInPath = path.split("/").includes(`:${name}`);
    return {
      name,
      in: isInPath ? "path" : "query",
      required: isInPath || required.includes(name),
      ...(typeof description === "string" && { description }),
      schema,
    };
  });
}

function operation(one: Endpoint): Record<string, unknown> {
  const { method, path, summary, action, body, answer, ifMatch } = one;
  const header = {
    name: "If-Match",
    in: "header",
    required: true,
    schema: { type: "string" },
    description: "The ETag under which the present state was given.",
  };
  return {
    operationId: `${method.toLowerCase()}${path.replaceAll(/[/:]+(\w)/g, (_, letter: string) => letter.toUpperCase())}`,
    summary,
    description: `For: ${rolesFor(action).join(", ")}.`,
    parameters: [...parametersOf(one), ...(ifMatch ? [header] : [])],
    ...(body !== null && {
      requestBody: { required: true, content: { "application/json": { schema: jsonSchema(body, "input") } } },
    }),
    responses: {
      200: {
        description: "Done.",
        headers: { ETag: { schema: { type: "string" } } },
        content: { "application/json": { schema: jsonSchema(answer, "output") } },
      },
      default: PROBLEM_ANSWER,
    },
  };
}

const PROBLEM = {
  type: "object",
  required: ["type", "title", "status"],
  properties: {
    type: { type: "string" },
    title: { type: "string" },
    status: { type: "integer" },
    detail: { type: "string" },
    instance: { type: "string" },
    errors: {
      type: "array",
      items: { type: "object", properties: { where: { type: "string" }, message: { type: "string" } } },
    },
  },
};

const PROBLEM_ANSWER = {
  description: "What was amiss, and the way out (RFC 9457).",
  content: { "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" } } },
};

const INTAKE = {
  operationId: "postIntake",
  summary: "Takes a file in: the body is the file, or a form with several.",
  description: `For: ${rolesFor("take-in").join(", ")}.`,
  parameters: [
    {
      name: "name",
      in: "query",
      required: false,
      schema: { type: "string" },
      description: "What the file is called.",
    },
  ],
  requestBody: {
    required: true,
    content: {
      "text/csv": {},
      "application/json": {},
      "application/x-ndjson": {},
      "multipart/form-data": {},
    },
  },
  responses: {
    200: {
      description: "What came of it, as `springtide ingest --json` has it.",
      content: {
        "application/json": {
          schema: {
            type: "object",
            required: ["files", "totals"],
            properties: { files: { type: "array" }, totals: { type: "object" } },
          },
        },
      },
    },
    default: PROBLEM_ANSWER,
  },
};

function version(): string {
  const text = readFileSync(new URL("../../package.json", import.meta.url), "utf8");
  return (JSON.parse(text) as { version: string }).version;
}
