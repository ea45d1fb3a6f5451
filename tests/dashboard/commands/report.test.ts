import assert from "node:assert/strict";
import { existsSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { openBrowser } from "../../support/chromium.ts";
import { makeWorld, type World } from "./run-command.ts";

const AS_OF = "2026-03-31";

describe("springtide report on an invented fleet", () => {
  let world: World;
  let page: string;
  let html: string;
  let files: readonly string[];
  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
    writeFleet(join(world.folder, "files"), demoFleet({ asOf: AS_OF, units: 20, seed: 8, years: 2 }), {
      forms: "as-sent",
    });
    await world.run(["ingest", join(world.folder, "files")]);
    page = join(world.folder, "packs", "evidence.html");
    const { exitCode, out, said } = await world.run(["report", "--out", page, "--json", "--as-of", AS_OF]);
    assert.equal(exitCode, 0, said.join("\n"));
    files = JSON.parse(out).files;
    html = readFileSync(page, "utf8");
  });
  afterAll(() => world.remove());

  it("is one page that needs no other file", () => {
    assert.doesNotMatch(html, /<script|<link|<img|src=|@import|url\(/);
    assert.match(html, /<svg/);
  });

  it("has every part that an auditor asks for, with the clauses named and no claim", () => {
    for (const title of [
      "The fleet’s state",
      "Signals",
      "What was done",
      "Units found out of tolerance",
      "The forecast’s record",
      "Fluid lots",
      "Data held back",
      "Rules in force",
      "Versions and inputs",
    ]) {
      assert.ok(html.includes(`<h2>${title}</h2>`), title);
    }
    for (const clause of ["6.4.9", "7.7.1", "7.10", "7.1.5.2", "7.8.6"])
      assert.ok(html.includes(clause), clause);
    assert.match(html, /no statement of conformity, no certificate and no claim that a clause is met/);
  });

  it("writes the figures beside it, and names each file on the page", () => {
    assert.equal(files[0], page);
    assert.ok(files.length > 4, files.join(", "));
    for (const file of files.slice(1)) {
      assert.ok(existsSync(file) && statSync(file).size > 0);
      assert.ok(html.includes(file.slice(file.lastIndexOf("evidence"))), file);
    }
    const units = parse(readFileSync(files.find((file) => file.endsWith("-units.csv"))!), { columns: true });
    assert.equal(units.length, 20);
  });

  it("gives the digest of every file taken in", () => {
    const rows = parse(readFileSync(files.find((file) => file.endsWith("-files.csv"))!), {
      columns: true,
    }) as unknown as { sha256: string }[];
    assert.ok(rows.length >= 4);
    for (const { sha256 } of rows) {
      assert.match(sha256, /^[0-9a-f]{64}$/);
      assert.ok(html.includes(sha256));
    }
  });

  it("opens in a browser without asking for anything, and prints", async () => {
    const browser = await openBrowser();
    try {
      const tab = await (await browser.newContext()).newPage();
      const complaints: string[] = [];
      const asked: string[] = [];
      tab.on("console", (message) => complaints.push(message.text()));
      tab.on("request", (request) => asked.push(request.url()));
      await tab.goto(pathToFileURL(page).href);
      const pdf = await tab.pdf({ format: "A4", preferCSSPageSize: true });
      assert.deepEqual(complaints, []);
      assert.deepEqual(asked, [pathToFileURL(page).href]);
      assert.ok(pdf.length > 20_000, `${pdf.length} bytes`);
    } finally {
      await browser.close();
    }
  });

  it("lists what was held back at the end of its day, and counts what came later apart", async () => {
    // All rows came on the as-of day: seen from the day before, none had.
    assert.match(html, /[1-9]\d* rows? (was|were) held back at the end of 31 Mar 2026/);
    assert.doesNotMatch(html, /came in later/);
    const earlier = join(world.folder, "packs", "earlier.html");
    assert.equal((await world.run(["report", "--out", earlier, "--as-of", "2026-03-30"])).exitCode, 0);
    const text = readFileSync(earlier, "utf8");
    assert.match(text, /0 rows were held back at the end of 30 Mar 2026/);
    assert.match(text, /[1-9]\d* more rows? came in later/);
    assert.equal(existsSync(join(world.folder, "packs", "earlier-held-back.csv")), false);
  });

  it("says in one line when it cannot be written", async () => {
    const { exitCode, said } = await world.run(["report", "--out", world.folder, "--as-of", AS_OF]);
    assert.equal(exitCode, 1);
    assert.match(said.join("\n"), /cannot be written: EISDIR/);
  });
});
