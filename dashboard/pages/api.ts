import { html } from "htm/preact";
import { rolesFor } from "../access/roles.ts";
import type { Endpoint } from "../api/endpoint.ts";
import { jsonSchema, type Parameter, parametersOf } from "../api/openapi.ts";
import { API_INTRODUCTION, API_TITLE } from "../wording/api.ts";
import { type Html, renderPage } from "./layout.ts";

/** The API, to be read by people. */
export function renderApi(endpoints: readonly Endpoint[]): string {
  return renderPage({
    title: API_TITLE,
    place: null,
    body: html`
      <h1>${API_TITLE}</h1>
      ${API_INTRODUCTION.map((sentence) => html`<p class="lead">${sentence}</p>`)}
      <p><a href="/api/openapi.json">The same as an OpenAPI 3.1 document</a></p>
      ${endpoints.map(section)}
    `,
  });
}

function section(one: Endpoint): Html {
  const { method, path, summary, action, body, ifMatch } = one;
  const id = `${method}${path}`.toLowerCase().replaceAll(/[^a-z]+/g, "-");
  const parameters = parametersOf(one);
  const fields = body === null ? [] : fieldsOf(jsonSchema(body, "input"));
  return html`
    <section class="endpoint" aria-labelledby=${id}>
      <h2 id=${id}><code>${method} /api${path.replaceAll(/:(\w+)/g, "{$1}")}</code></h2>
      <p>${summary}</p>
      <p class="caption">For: ${action === "read" ? "everybody who is let in" : rolesFor(action).join(", ")}.${ifMatch ? " Asks for If-Match." : ""}</p>
      ${table("Parameters", `${method} ${path}`, parameters)}
      ${table("Body, as JSON", `${method} ${path}`, fields)}
      <pre tabindex="0"><code>${example(one, parameters)}</code></pre>
    </section>
  `;
}

type Field = Omit<Parameter, "in">;

function fieldsOf(schema: Record<string, unknown>): Field[] {
  const { properties = {}, required = [] } = schema as {
    properties?: Record<string, Record<string, unknown>>;
    required?: string[];
  };
  return Object.entries(properties).map(([name, { description, ...rest }]) => ({
    name,
    required: required.includes(name),
    ...(typeof description === "string" && { description }),
    schema: rest,
  }));
}

function table(caption: string, of: string, fields: readonly Field[]): Html {
  if (fields.length === 0) return null;
  return html`
    <div class="scroll" tabindex="0" role="region" aria-label=${`${caption} of ${of}`}>
      <table>
        <caption>${caption}</caption>
        <thead>
          <tr><th scope="col">Name</th><th scope="col">Takes</th><th scope="col">What it is</th></tr>
        </thead>
        <tbody>
          ${fields.map(
            ({ name, required, description = "", schema }) => html`
              <tr>
                <th scope="row"><code>${name}</code></th>
                <td>${takes(schema)}${required ? ", required" : ""}</td>
                <td>${description}</td>
              </tr>
            `,
          )}
        </tbody>
      </table>
    </div>
  `;
}

function takes(schema: Record<string, unknown>): string {
  const { type, enum: words, minimum, maximum, default: otherwise, anyOf } = schema;
  const range = minimum === undefined ? "" : ` from ${minimum} to ${maximum ?? "any"}`;
  const plain = Array.isArray(words)
    ? words.join(", ")
    : Array.isArray(anyOf)
      ? anyOf.map((one: Record<string, unknown>) => takes(one)).join(" or ")
      : `${String(type ?? "anything")}${range}`;
  return otherwise === undefined || otherwise === "" || typeof otherwise === "object"
    ? plain
    : `${plain}; else ${String(otherwise)}`;
}

function example({ method, path, body }: Endpoint, parameters: readonly Parameter[]): string {
  const at = path.replaceAll(/:(\w+)/g, (_, name: string) =>
    name === "day" ? "2026-03-27" : name.toUpperCase(),
  );
  const hasPart = parameters.some(({ name }) => name === "limit");
  const address = `"$SPRINGTIDE/api${at}${hasPart ? "?limit=10" : ""}"`;
  const token = '-H "Authorization: Bearer $TOKEN"';
  if (method === "GET") return `curl ${token} ${address}`;
  const sent = body === null ? "" : ` -H "Content-Type: application/json" -d '{ "why": "…", … }'`;
  return `curl -X POST ${token}${sent} ${address}`;
}
