import { startDashboard } from "../../dashboard/commands/dashboard-server.ts";
import { SORT_KEYS, STATE_FILTERS } from "../../dashboard/page-models/fleet-query.ts";
import { openStore, type Store } from "../../ingest/index.ts";
import type { Place } from "./stages.ts";
import { median, timed } from "./timing.ts";

const DAY_MS = 86_400_000;
const UPDATES = 9;

/**
 * Serves a store and asks as a reader's browser does.
 *
 * @returns Unit: s. `firstLook` until the first whole look is there, `page` the median over the table of units in every
 *   order and state, `today` the front page, `update` the median from sending one unit's new check until its page has it,
 *   of which `updateIntake` until it is stored.
 */
export async function server({ store: file, asOf }: Place) {
  const store = await openStore(`sqlite:${file}`);
  const begun = performance.now();
  const dashboard = await startDashboard(store, () => asOf, { port: 0, host: "127.0.0.1" });
  const get = async (address: string) => {
    const response = await fetch(new URL(address, dashboard.url));
    const text = await response.text();
    if (!response.ok) throw new Error(`${address} answers ${response.status}`);
    return text;
  };
  try {
    const view = await dashboard.firstLook;
    const firstLook = (performance.now() - begun) / 1000;
    const addresses = SORT_KEYS.flatMap((sort) =>
      ["", ...STATE_FILTERS].flatMap((state) => [
        `/units?sort=${sort}&state=${state}`,
        `/units?sort=${sort}&state=${state}&order=turned`,
      ]),
    );
    await get("/");
    const today = await secondsOf(() => get("/"));
    const page = median(await inTurn(addresses, (address) => secondsOf(() => get(address))));

    const units = view.assessment.units.filter(({ lastCheckDay }) => lastCheckDay !== null);
    const chosen = Array.from(
      { length: UPDATES },
      (_, i) => units[Math.floor((i * units.length) / UPDATES)]!,
    );
    const updates = await inTurn(chosen, async ({ instrument }, i) => {
      const file = await newCheck(store, instrument, Date.parse(asOf) + i * 60_000);
      const intake = await secondsOf(async () => {
        const sent = await fetch(new URL(`/api/intake?name=new-${i}.csv`, dashboard.url), {
          method: "POST",
          body: file.csv,
        });
        const { totals } = (await sent.json()) as { totals: { accepted: number } };
        if (totals.accepted !== file.rows) throw new Error(`the new check of ${instrument} was not accepted`);
      });
      const page = await secondsOf(async () => {
        const text = await get(`/units/${encodeURIComponent(instrument)}`);
        if (!text.includes(`new-${i}.csv`))
          throw new Error(`the page of ${instrument} does not know its new check`);
      });
      return { intake, whole: intake + page };
    });
    const wholes = updates.map(({ whole }) => whole);
    return {
      firstLook,
      today,
      page,
      update: median(wholes),
      updateIntake: median(updates.map(({ intake }) => intake)),
      slowestUpdate: Math.max(...wholes),
    };
  } finally {
    await dashboard.close();
    await store.close();
  }
}

/** One more check of a unit, with the readings of its last one. */
async function newCheck(
  store: Store,
  instrument: string,
  atMs: number,
): Promise<{ csv: string; rows: number }> {
  const readings = await store.readings({ instrument });
  const { count, check, names } = readings;
  const lines = [
    "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,fluid_lot,geometry,site",
  ];
  const time = new Date(Math.min(atMs + DAY_MS / 2, Date.now())).toISOString();
  for (let i = count - 1; i >= 0 && check[i] === check[count - 1]; i--) {
    const values = [
      readings.speedRpm,
      readings.fullScaleRangeMPaS,
      readings.readingMPaS,
      readings.fluidValueMPaS,
    ];
    const placed = [
      names.fluidLots[readings.fluidLot[i]!] ?? "",
      names.geometries[readings.geometry[i]!] ?? "",
      names.sites[readings.site[i]!] ?? "",
    ];
    lines.push([instrument, time, ...values.map((column) => column[i]), ...placed].join(","));
  }
  return { csv: `${lines.join("\n")}\n`, rows: lines.length - 1 };
}

async function secondsOf(work: () => Promise<unknown>): Promise<number> {
  return (await timed(work)).cost.seconds;
}

async function inTurn<T, R>(list: readonly T[], work: (item: T, i: number) => Promise<R>): Promise<R[]> {
  const results: R[] = [];
  for (const [i, item] of list.entries()) results.push(await work(item, i));
  return results;
}
