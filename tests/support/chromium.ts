import { execFile } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { mkdir, mkdtemp, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { type Browser, chromium } from "playwright-core";

/** A browser that can be started, and what its process needs in the environment beside our own. */
interface Chromium {
  readonly executablePath: string;
  readonly env: Readonly<Record<string, string>>;
}

const SYSTEM_PATHS = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

const WHAT_TO_DO =
  "No Chromium found for the browser tests: set CHROME_PATH to one, or install the package chromium.";

/** No background traffic, no first-run pages; containers and root have no sandbox. */
const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/**
 * Finds a Chromium: CHROME_PATH, then the system's, then the one that the dev dependency
 * `@sparticuz/chromium` ships (64-bit Linux on Intel and AMD only), unpacked on first use.
 *
 * @throws {Error} with one line that says what to do, when there is none.
 */
export async function findChromium(): Promise<Chromium> {
  const named = process.env.CHROME_PATH;
  if (named !== undefined && named !== "") {
    if (!existsSync(named)) throw new Error(`CHROME_PATH names ${named}, which does not exist.`);
    return { executablePath: named, env: {} };
  }
  const installed = SYSTEM_PATHS.find((path) => existsSync(path));
  if (installed !== undefined) return { executablePath: installed, env: {} };
  if (process.platform !== "linux" || process.arch !== "x64") throw new Error(WHAT_TO_DO);
  return shippedChromium();
}

/** Starts a Chromium without a window. Close it when done: `await browser.close()`. */
export async function openBrowser(): Promise<Browser> {
  const { executablePath, env } = await findChromium();
  return chromium.launch({
    executablePath,
    args: FLAGS,
    env: { ...process.env, ...env } as NodeJS.ProcessEnv,
  });
}

/** The package's browser, its libraries and a font, unpacked once beside the package (npm ci clears it). */
async function shippedChromium(): Promise<Chromium> {
  const packageFolder = fileURLToPath(new URL("../", import.meta.resolve("@sparticuz/chromium")));
  const { version } = JSON.parse(readFileSync(join(packageFolder, "package.json"), "utf8")) as {
    version: string;
  };
  const cache = join(packageFolder, "../../.cache");
  const folder = join(cache, `chromium-${version}`);
  if (!existsSync(folder)) await unpack(packageFolder, cache, folder);
  return {
    executablePath: join(folder, "chromium"),
    env: { LD_LIBRARY_PATH: join(folder, "al2023/lib"), FONTCONFIG_FILE: join(folder, "fonts.conf") },
  };
}

/**
 * Unpacks into a folder of its own and renames that at the end, so that several test workers may
 * start at once and none sees half a browser. The package unpacks into the system's temporary
 * folder and takes whatever it finds there; a child process gets ours as its temporary folder.
 */
async function unpack(packageFolder: string, cache: string, folder: string): Promise<void> {
  await mkdir(cache, { recursive: true });
  const staging = await mkdtemp(join(cache, "unpacking-"));
  const script = `
    import chromium, { inflate } from "@sparticuz/chromium";
    await chromium.executablePath();
    await inflate(${JSON.stringify(join(packageFolder, "bin/al2023.tar.br"))});`;
  try {
    await promisify(execFile)(process.execPath, ["--input-type=module", "--eval", script], {
      cwd: packageFolder,
      env: { ...process.env, TMPDIR: staging },
    });
    // The package's own font list names folders that only its usual host has.
    await writeFile(join(staging, "fonts.conf"), fontList([join(folder, "fonts"), "/usr/share/fonts"]));
    await rename(staging, folder);
  } catch (cause) {
    await rm(staging, { recursive: true, force: true });
    // Another worker was quicker: its folder is as good.
    if (!existsSync(folder))
      throw new Error(`${WHAT_TO_DO} (The one shipped could not be unpacked.)`, { cause });
  }
}

function fontList(folders: readonly string[]): string {
  const lines = folders.map((folder) => `<dir>${folder}</dir>`).join("");
  return `<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig>${lines}</fontconfig>\n`;
}
