import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { Router } from "express";
import { Kept } from "../kept.ts";

interface Asset {
  readonly type: string;
  readonly make: () => Promise<Buffer>;
}

const SANS = "@fontsource-variable/source-sans-3/files/source-sans-3";
const SERIF = "@fontsource-variable/source-serif-4/files/source-serif-4";

/** Everything a page fetches besides itself, by name. */
const ASSETS: ReadonlyMap<string, Asset> = new Map([
  ["style.css", { type: "css", make: () => bundle("style.css") }],
  ["mark.svg", { type: "svg", make: () => readFile(beside("mark.svg")) }],
  ["finder.js", { type: "js", make: () => bundle("finder.ts") }],
  ["progress.js", { type: "js", make: () => bundle("progress.ts") }],
  ["live.js", { type: "js", make: () => bundle("live.ts") }],
  ["waiting.js", { type: "js", make: () => bundle("waiting.ts") }],
  ["in-place.js", { type: "js", make: () => bundle("in-place.ts") }],
  ["intake.js", { type: "js", make: () => bundle("intake.ts") }],
  ["charts.js", { type: "js", make: () => bundle("charts.ts") }],
  ["live-chart.js", { type: "js", make: () => bundle("live-chart.ts") }],
  ["live-picture.js", { type: "js", make: () => bundle("live-picture.ts") }],
  ["source-sans.woff2", font(`${SANS}-latin-wght-normal.woff2`)],
  ["source-sans-ext.woff2", font(`${SANS}-latin-ext-wght-normal.woff2`)],
  ["source-serif.woff2", font(`${SERIF}-latin-wght-normal.woff2`)],
  ["source-serif-ext.woff2", font(`${SERIF}-latin-ext-wght-normal.woff2`)],
]);

/** `/assets/…`: style sheet, fonts, mark and scripts from our own address; scripts are bundled at first request. */
export function assetRoutes(): Router {
  const made = new Kept<Buffer>(ASSETS.size);
  const router = Router();
  router.get("/assets/:name", async (request, response, next) => {
    const { name } = request.params;
    const asset = ASSETS.get(name);
    if (asset === undefined) return next();
    const body = await made.get(name, asset.make);
    // An hour without asking; then the entity tag says whether a new version has come.
    response.set("Cache-Control", "public, max-age=3600").type(asset.type).send(body);
  });
  return router;
}

function beside(file: string): URL {
  return new URL(`../assets/${file}`, import.meta.url);
}

function font(file: string): Asset {
  return { type: "woff2", make: () => readFile(new URL(import.meta.resolve(file))) };
}

async function bundle(file: string): Promise<Buffer> {
  const { outputFiles } = await build({
    entryPoints: [fileURLToPath(beside(file))],
    bundle: true,
    format: "esm",
    minify: true,
    target: "es2022",
    // Fonts are assets of their own.
    external: ["/assets/*"],
    write: false,
    logLevel: "silent",
  });
  return Buffer.from(outputFiles[0]!.contents);
}
