import { type IncomingHttpHeaders, request } from "node:http";
import { text } from "node:stream/consumers";

export interface Answer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

type Headers = Readonly<Record<string, string>>;
type Fields = Readonly<Record<string, string | readonly string[]>>;

/** A browser as far as a server sees one: it keeps cookies, says where its forms come from, and follows nothing. */
export class Visitor {
  readonly cookies = new Map<string, string>();
  /** The whole header by which a cookie was set last, by its name. */
  readonly setBy = new Map<string, string>();
  readonly #url: string;
  readonly #origin: string;
  readonly #from: string;

  /**
   * @param origin Under which the pages are known; the server before ours passes its host on.
   * @param from The address that it says the request came from.
   */
  constructor(url: string, origin: string, from: string) {
    this.#url = url;
    this.#origin = origin;
    this.#from = from;
  }

  get(path: string, headers: Headers = {}): Promise<Answer> {
    return this.#send("GET", path, null, headers);
  }

  post(path: string, fields: Fields = {}, headers: Headers = {}): Promise<Answer> {
    const body = new URLSearchParams();
    for (const [name, values] of Object.entries(fields)) {
      for (const one of [values].flat()) body.append(name, one);
    }
    const type = { "content-type": "application/x-www-form-urlencoded" };
    return this.send("POST", path, body.toString(), { ...type, ...headers });
  }

  /** Any request as a script of our pages would send it. */
  send(method: string, path: string, body: string | null, headers: Headers = {}): Promise<Answer> {
    return this.#send(method, path, body, {
      origin: this.#origin,
      "sec-fetch-site": "same-origin",
      ...headers,
    });
  }

  async #send(method: string, path: string, body: string | null, headers: Headers): Promise<Answer> {
    const cookie = [...this.cookies].map(([name, value]) => `${name}=${value}`).join("; ");
    const known = { host: new URL(this.#origin).host, "x-forwarded-for": this.#from };
    const all = { ...known, ...(cookie !== "" && { cookie }), ...headers };
    const answer = await new Promise<Answer>((resolve, reject) => {
      request(this.#url + path, { method, headers: all }, async (response) => {
        const { statusCode: status = 0 } = response;
        resolve({ status, headers: response.headers, body: await text(response) });
      })
        .on("error", reject)
        .end(body);
    });
    for (const line of answer.headers["set-cookie"] ?? []) {
      const [, name = "", value = ""] = /^([^=]+)=([^;]*)/.exec(line) ?? [];
      this.setBy.set(name, line);
      if (/expires=Thu, 01 Jan 1970/i.test(line)) this.cookies.delete(name);
      else this.cookies.set(name, value);
    }
    return answer;
  }
}
