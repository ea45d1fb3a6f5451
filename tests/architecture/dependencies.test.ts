import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { describe, it } from "vitest";

type Versions = Readonly<Record<string, string>>;
interface Manifest {
  readonly dependencies: Versions;
  readonly devDependencies: Versions;
  readonly optionalDependencies: Versions;
  readonly overrides: Versions;
}

const EXACT = /^(npm:[@\w/.-]+@)?\d+\.\d+\.\d+(-[\w.]+)?$/;

const manifest = JSON.parse(readFileSync("package.json", "utf8")) as Manifest;
const lock = JSON.parse(readFileSync("package-lock.json", "utf8")) as {
  packages: Record<string, { version?: string; integrity?: string; link?: boolean }>;
};
const { dependencies, devDependencies, optionalDependencies, overrides } = manifest;
const wanted = Object.entries({ ...dependencies, ...devDependencies, ...optionalDependencies });

describe("dependencies", () => {
  it("are pinned to one version each", () => {
    assert.ok(wanted.length > 30, `${wanted.length} dependencies`);
    const loose = [...wanted, ...Object.entries(overrides)].filter(([, version]) => !EXACT.test(version));
    assert.deepEqual(loose, []);
  });

  it("are locked at that version", () => {
    const apart = wanted.filter(
      ([name, version]) => lock.packages[`node_modules/${name}`]?.version !== version,
    );
    assert.deepEqual(apart, []);
  });

  it("come with a checksum, all of them", () => {
    const bare = Object.entries(lock.packages)
      .filter(([path, { integrity, link }]) => path !== "" && link !== true && integrity === undefined)
      .map(([path]) => path);
    assert.deepEqual(bare, []);
  });
});
