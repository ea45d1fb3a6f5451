import { fileURLToPath } from "node:url";
import { build } from "esbuild";

/** The pack's style sheet as text: it stands in the file itself, so that the file needs no other. */
export async function packStyles(): Promise<string> {
  const { outputFiles } = await build({
    entryPoints: [fileURLToPath(new URL("../assets/report.css", import.meta.url))],
    bundle: true,
    minify: true,
    write: false,
    logLevel: "silent",
  });
  return outputFiles[0]!.text;
}
