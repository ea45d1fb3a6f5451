import { describe, expect, it } from "vitest";
import { fleetChart } from "../../../dashboard/charts/fleet.ts";
import { linearityChart } from "../../../dashboard/charts/linearity.ts";
import { lotChart } from "../../../dashboard/charts/lot.ts";
import { fleetPicture } from "../../../dashboard/page-models/fleet-picture.ts";
import { lotPage } from "../../../dashboard/page-models/lot.ts";
import { unitPage } from "../../../dashboard/page-models/unit.ts";
import { renderPart } from "../../../dashboard/pages/layout.ts";
import { livesPicture } from "../../../dashboard/pages/lives-picture.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

/** Committed specifications: a chart does not change without intent. `npx vitest run -u` writes them anew. */
function golden(spec: unknown, file: string): Promise<void> {
  // Six digits: the last bits of a sine or an exponential differ between machines.
  const text = JSON.stringify(
    spec,
    (_, value: unknown) => (typeof value === "number" ? Number(value.toPrecision(6)) : value),
    1,
  );
  return expect(`${text}\n`).toMatchFileSnapshot(`../../golden/${file}.json`);
}

const fleet = fixtureAssessment(30);
const page = unitPage((await fleet.unit("V-0029"))!);

describe("chart specifications", () => {
  it("of the fleet", async () => {
    const { assessment } = await fleet.current();
    await golden(fleetChart(fleetPicture(assessment), "wide"), "fleet-wide");
  });
  it("of the error along the torque", () => golden(linearityChart(page.linearity), "linearity"));
  it("of a lot over its age", async () => {
    await golden(lotChart(lotPage(await fleet.fluids(), "L-25-07", 1).picture, "narrow"), "lot-narrow");
  });
});

describe("pictures drawn by hand", () => {
  it("of a unit's lives", async () => {
    const picture = renderPart(livesPicture(page.lives)).replaceAll("><", ">\n<");
    await expect(`${picture}\n`).toMatchFileSnapshot("../../golden/lives.html");
  });
});
