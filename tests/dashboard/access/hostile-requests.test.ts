import assert from "node:assert/strict";
import { type IncomingHttpHeaders, request } from "node:http";
import { connect } from "node:net";
import { text } from "node:stream/consumers";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, it } from "vitest";
import { ALL_DOORS } from "../../../dashboard/access/doors.ts";
import { startServer } from "../../../dashboard/server.ts";
import { type RunningDoor, runDoor } from "../accounts/running-door.ts";
import type { Visitor } from "../accounts/visitor.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { MOST_BYTES, type RunningApp, runApp } from "../support/running-app.ts";

const UNIT = "V-0010";
const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n";
const ROW = `${UNIT},2026-03-30T08:00:00Z,60,200,95.2,95\n`;

let door: RunningDoor;
let root: Visitor;
let app: RunningApp;
beforeAll(async () => {
  door = await runDoor({}, fixtureAssessment(20));
  await door.add("Root", { role: "administrator" });
  root = await door.signedIn("Root");
  const units = `instrument,usage,site\n${UNIT},daily,Ashmere\n`;
  await root.send("POST", "/api/intake?name=units.csv", units, { "content-type": "text/csv" });
  app = await runApp(fixtureAssessment(20));
});
afterAll(async () => {
  await door.stop();
  await app.stop();
});

interface Answered {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

/** A request with these headers and no others. */
function ask(
  url: string,
  method: string,
  headers: Readonly<Record<string, string>>,
  body = "",
): Promise<Answered> {
  return new Promise((resolve, reject) => {
    request(url, { method, headers }, async (response) => {
      resolve({ status: response.statusCode!, headers: response.headers, body: await text(response) });
    })
      .on("error", reject)
      .end(body);
  });
}

/** Bytes as they stand, and all that comes back until the connection is closed. */
function speak(url: string, bytes: string): Promise<string> {
  const { hostname, port } = new URL(url);
  return new Promise((resolve, reject) => {
    const socket = connect(Number(port), hostname, () => socket.write(bytes));
    const got: Buffer[] = [];
    socket.on("data", (piece) => got.push(piece));
    socket.on("error", reject);
    socket.on("close", () => resolve(Buffer.concat(got).toString()));
  });
}

const pathOf = (address: string) => address.split(" ")[1]!.replaceAll(/:\w+/g, "1");
const FORM = { "content-type": "application/x-www-form-urlencoded" };

describe("a change that another site's page sends", () => {
  it("is refused at every door, whoever is signed in", async () => {
    const cookie = [...root.cookies].map(([name, value]) => `${name}=${value}`).join("; ");
    const host = new URL(door.url).host;
    const ways: Record<string, string>[] = [
      { origin: "http://elsewhere.example", "sec-fetch-site": "cross-site" },
      { origin: "http://elsewhere.example" },
      { origin: `http://${host}.elsewhere.example` },
      { origin: `https://${host}` },
      { origin: "null" },
      { "sec-fetch-site": "cross-site" },
      { "sec-fetch-site": "same-site" },
      // A browser too old to say where its form stands.
      {},
    ];
    const before = await door.store.revision();
    for (const { door: address } of ALL_DOORS.filter((one) => one.door.startsWith("POST "))) {
      for (const way of ways) {
        const answer = await ask(
          door.url + pathOf(address),
          "POST",
          { host, cookie, ...FORM, ...way },
          "why=x&by=x&name=x&changes=0&decision=",
        );
        assert.equal(answer.status, 403, `${address} ${JSON.stringify(way)}`);
        assert.match(answer.body, /comes from another site/);
      }
    }
    assert.equal(await door.store.revision(), before);
    assert.equal((await root.get("/")).status, 200, "still signed in");
  });

  it("is nobody's where it brings a header that is no token", async () => {
    const cookie = [...root.cookies].map(([name, value]) => `${name}=${value}`).join("; ");
    for (const authorization of ["Basic cm9vdDpyb290", "Bearer x", "Bearer", "x"]) {
      const headers = { cookie, authorization, origin: "http://elsewhere.example", ...FORM };
      const answer = await ask(`${door.url}/settings`, "POST", headers, "why=x");
      assert.equal(answer.status, 401, authorization);
      assert.equal(answer.headers["www-authenticate"], "Bearer");
    }
  });
});

describe("where nobody signs in", () => {
  it("nothing is told under a name that is none of this machine's", async () => {
    const { port } = new URL(app.url);
    const hosts = [
      "elsewhere.example",
      "127.0.0.1.elsewhere.example",
      "localhost.elsewhere.example",
      "0.0.0.0",
    ];
    for (const host of [...hosts, ...hosts.map((one) => `${one}:${port}`), "127.0.0.1@elsewhere.example"]) {
      for (const path of [
        "/",
        "/units?format=json",
        "/api/units",
        "/events",
        "/health",
        "/assets/style.css",
      ]) {
        const answer = await ask(app.url + path, "GET", { host });
        assert.equal(answer.status, 403, `${host}${path}`);
        assert.doesNotMatch(answer.body, /V-00/);
      }
    }
    for (const host of ["127.0.0.1", "localhost", `localhost:${port}`, "[::1]", `127.8.9.10:${port}`]) {
      assert.equal((await ask(app.url, "GET", { host })).status, 200, host);
    }
    assert.match(await speak(app.url, "GET / HTTP/1.0\r\n\r\n"), /^HTTP\/1\.1 403 /);
  });
});

describe("a request that is malformed", () => {
  it("is answered with what is amiss, and is no defect", async () => {
    for (const bytes of [
      "nonsense\r\n\r\n",
      "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nno colon\r\n\r\n",
      "POST /api/intake?name=a.csv HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 3\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
      "POST /api/intake?name=a.csv HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: -1\r\n\r\n",
      "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nHost: elsewhere.example\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n",
    ]) {
      assert.match(await speak(app.url, bytes), /^HTTP\/1\.1 4\d\d /, bytes.slice(0, 40));
    }
    const host = "127.0.0.1";
    const own = { host, "sec-fetch-site": "same-origin" };
    const asked: [string, string, Record<string, string>, string][] = [
      ["GET", "/units/%", {}, ""],
      ["GET", "/units/%FF%FE", {}, ""],
      ["GET", "/units/a%00b", {}, ""],
      ["GET", "/units?format=json&format=csv", {}, ""],
      ["GET", "/units?site=a&site=b&page=-1&page=x&sort=__proto__", {}, ""],
      ["GET", "/units/constructor", {}, ""],
      ["POST", `/units/${UNIT}/notes`, FORM, "why=%&by=%FF&__proto__[x]=1&constructor[prototype][y]=1"],
      ["POST", `/units/${UNIT}/notes`, { ...FORM, "content-encoding": "gzip" }, "no gzip"],
      [
        "POST",
        `/units/${UNIT}/notes`,
        { "content-type": "application/x-www-form-urlencoded; charset=x" },
        "a=b",
      ],
      ["POST", `/units/${UNIT}/notes`, FORM, "a=b&".repeat(500)],
      ["POST", `/api/units/${UNIT}/notes`, { "content-type": "application/json" }, '{"why": '],
      ["POST", `/api/units/${UNIT}/notes`, { "content-type": "application/json" }, '"text"'],
      ["POST", `/api/units/${UNIT}/notes`, { "content-type": "text/plain" }, "why"],
      ["POST", "/intake", { "content-type": "multipart/form-data" }, "no boundary"],
      ["POST", "/intake", { "content-type": "multipart/form-data; boundary=x" }, "--x\r\nbroken"],
      ["POST", "/settings", FORM, "tolerance.fluid_percent=1e400&why=x&by=x&changes=0"],
    ];
    for (const [method, path, headers, body] of asked) {
      const answer = await ask(app.url + path, method, { ...own, ...headers }, body);
      assert.ok(
        (answer.status >= 400 && answer.status < 500) || path.startsWith("/units?site"),
        `${method} ${path}: ${answer.status}`,
      );
    }
    assert.equal(({} as Record<string, unknown>).x, undefined);
    assert.deepEqual(app.reported, []);
    assert.equal((await app.store.judgements()).length, 0);
  });

  it("finds every page at its post whatever its address is asked for", { timeout: 60_000 }, async () => {
    const odd =
      "page=0&page=x&format=json&site=%00&q=%F0%9F%92%A9&unit=..%2F..&week=2026-W99&fix=@&capacity=-1&against=,,,,";
    for (const { door: address } of ALL_DOORS.filter(
      (one) => one.door.startsWith("GET ") && one.door !== "GET /events",
    )) {
      const answer = await root.get(`${pathOf(address)}?${odd}`);
      assert.ok(answer.status < 500, `${address}: ${answer.status} ${answer.body.slice(0, 200)}`);
    }
    assert.deepEqual(door.reported, []);
  });
});

describe("a request that is too large", () => {
  it("is refused in its head, in a form, in JSON and in a file, and nothing is kept", async () => {
    const own = { host: "127.0.0.1", "sec-fetch-site": "same-origin" };
    assert.match(
      await speak(app.url, `GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: ${"x".repeat(40_000)}\r\n\r\n`),
      /^HTTP\/1\.1 431 /,
    );
    const large = `why=${"x".repeat(300_000)}`;
    for (const path of [`/units/${UNIT}/notes`, `/findings/${UNIT}/2026-03-27`, "/settings"]) {
      assert.equal((await ask(app.url + path, "POST", { ...own, ...FORM }, large)).status, 413, path);
    }
    const json = JSON.stringify({ why: "x".repeat(1_100_000) });
    const typed = { ...own, "content-type": "application/json" };
    assert.equal((await ask(`${app.url}/api/units/${UNIT}/notes`, "POST", typed, json)).status, 413);
    const rows = HEADER + ROW.repeat(MOST_BYTES / ROW.length + 1);
    assert.equal((await ask(`${app.url}/api/intake?name=a.csv`, "POST", own, rows)).status, 413);
    assert.deepEqual(await app.store.files(), []);
  });

  it("is refused where it unfolds to more than it says, or holds one row without an end", async () => {
    const before = await door.store.revision();
    const bomb = gzipSync(Buffer.concat([Buffer.from(HEADER), Buffer.alloc(80_000_000, "\n")]), { level: 9 });
    assert.ok(bomb.length < MOST_BYTES);
    const files: Record<string, string | Buffer> = {
      "bomb.csv.gz": bomb,
      "quote.csv": `${HEADER}"${"x".repeat(150_000)}`,
      "columns.csv": `${"a,".repeat(80_000)}\n`,
      "deep.json": "[".repeat(100_000),
    };
    for (const [name, content] of Object.entries(files)) {
      const response = await fetch(`${app.url}/api/intake?name=${name}`, {
        method: "POST",
        body: new Uint8Array(Buffer.from(content)),
      });
      assert.equal(response.status, 200, name);
      const { files: reports, totals } = (await response.json()) as {
        files: { error: string | null }[];
        totals: { accepted: number };
      };
      assert.equal(totals.accepted, 0, name);
      assert.ok((reports[0]!.error ?? "held").length > 3, name);
    }
    assert.equal(await door.store.revision(), before);
    assert.deepEqual(app.reported, []);
  });
});

describe("a file whose name leads elsewhere", () => {
  it("is refused, and nothing is written", async () => {
    for (const name of [
      "../a.csv",
      "..\\a.csv",
      "/etc/a.csv",
      "C:\\a.csv",
      "a/../../b.csv",
      "..",
      ".a.csv",
      "a.csv\u0000.txt",
      "a\u202Evsc.exe",
      "a\nb.csv",
      "x".repeat(300),
      "",
    ]) {
      const sent = await root.send("POST", `/api/intake?name=${encodeURIComponent(name)}`, HEADER + ROW);
      assert.equal(sent.status, 400, JSON.stringify(name));
      if (/[\0\n]/.test(name) || name === "") continue;
      const form = `--b\r\nContent-Disposition: form-data; name="file"; filename="${name}"\r\n\r\n${HEADER}${ROW}\r\n--b--\r\n`;
      const type = { "content-type": "multipart/form-data; boundary=b" };
      assert.equal((await root.send("POST", "/api/intake", form, type)).status, 400, JSON.stringify(name));
    }
    assert.ok(!(await door.store.files()).some(({ file }) => file !== "units.csv"));
  });
});

describe("a request that is sent again", () => {
  it("does nothing twice", async () => {
    const twice = async (path: string, fields: Record<string, string>) => {
      const first = await root.post(path, fields);
      const between = await door.store.revision();
      const second = await root.post(path, fields);
      return [first.status, second.status, (await door.store.revision()) - between] as const;
    };
    await root.send("POST", "/api/intake?name=a.csv", HEADER + ROW.replace("95.2", "x"));
    const [row] = await door.store.held.list({ file: "a.csv" });
    assert.deepEqual(await twice(`/intake/held/${row!.id}`, { action: "dismiss", why: "x" }), [303, 409, 0]);
    const rule = { changes: "0", why: "x", reliability_target: "93" };
    assert.deepEqual(await twice("/settings", rule), [303, 409, 0]);
    await root.post(`/units/${UNIT}/notes`, { kind: "remark", on: "2026-03-30", why: "x" });
    const note = (await door.store.judgements()).find(({ instrument }) => instrument === UNIT);
    assert.deepEqual(await twice(`/units/${UNIT}/notes/${note!.id}`, { why: "x" }), [303, 409, 0]);
    const file = async () =>
      JSON.parse((await root.send("POST", "/api/intake?name=b.csv", HEADER + ROW)).body);
    assert.deepEqual([(await file()).totals.accepted, (await file()).totals.repeated], [1, 1]);
  });

  it("is nobody's after they have signed out", async () => {
    const one = await door.signedIn("Root");
    const cookie = [...one.cookies].map(([name, value]) => `${name}=${value}`).join("; ");
    await one.post("/sign-out");
    const answer = await ask(`${door.url}/units?format=json`, "GET", { cookie });
    assert.equal(answer.status, 401);
  });
});

describe("a request that does not come to its end", () => {
  it("is given up, in its head and in its body, and nothing is kept", { timeout: 20_000 }, async () => {
    const reported: unknown[] = [];
    const server = await startServer({
      assessment: fixtureAssessment(1),
      desk: { store: app.store, now: () => Date.parse("2026-04-01T12:00:00Z"), mostBytes: MOST_BYTES },
      port: 0,
      host: "127.0.0.1",
      report: (error) => reported.push(error),
      patience: { headersMs: 200, requestMs: 500, lookEveryMs: 50 },
    });
    const begun = performance.now();
    const [head, body] = await Promise.all([
      speak(server.url, "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "),
      speak(
        server.url,
        `POST /api/intake?name=slow.csv HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 5000\r\n\r\n${HEADER}`,
      ),
    ]);
    assert.match(head, /^HTTP\/1\.1 408 /);
    assert.match(body, /^(HTTP\/1\.1 4\d\d |$)/);
    assert.ok(performance.now() - begun < 10_000);
    assert.equal(
      (await app.store.files()).some(({ file }) => file === "slow.csv"),
      false,
    );
    await server.close();
    assert.deepEqual(reported, []);
  });
});
