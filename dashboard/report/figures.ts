import { dayOfIso, isoOfDay } from "../assessment/days.ts";
import { findingReport } from "../assessment/out-findings.ts";
import { signalFigures } from "../assessment/signals-report.ts";
import type { FigureRow } from "../tables/csv.ts";
import { type EvidencePack, PERIOD_DAYS } from "./gather.ts";

/** The pack's figures as tables for programs, by the name of the file that each goes into. */
export function packTables(pack: EvidencePack): ReadonlyMap<string, readonly FigureRow[]> {
  return new Map<string, readonly FigureRow[]>([
    ["units", unitRows(pack)],
    ["signals", signalRows(pack)],
    ["notes", noteRows(pack)],
    ["findings", findingRows(pack)],
    ["forecasts", forecastRows(pack)],
    ["lots", lotRows(pack)],
    [
      "held-back",
      pack.held.map(({ file, line, reason, message, raw }) => ({ file, line, reason, message, raw })),
    ],
    ["files", fileRows(pack)],
  ]);
}

/** Signals of the period that the pack covers. */
export function signalsOfPeriod({ watch, asOf }: EvidencePack) {
  return watch.signals.filter(({ onDay }) => onDay >= dayOfIso(asOf) - PERIOD_DAYS);
}

function unitRows({ run }: EvidencePack): FigureRow[] {
  return run.assessment.units.map((unit) => ({
    instrument: unit.instrument,
    site: unit.site,
    state: unit.state,
    p_out_now: unit.pOutNow,
    p_out_before_service: unit.pOutBeforeService,
    next_service_due: unit.nextServiceDueDay === null ? null : isoOfDay(unit.nextServiceDueDay),
    band: unit.band,
    pattern: unit.pattern.name,
    last_check: unit.lastCheckDay === null ? null : isoOfDay(unit.lastCheckDay),
    overdue_check: unit.overdueCheck,
    note: unit.note,
  }));
}

function signalRows(pack: EvidencePack): FigureRow[] {
  return signalsOfPeriod(pack).map((signal) => {
    const { between, changed, ...figures } = signalFigures(signal);
    return { ...figures, between: between?.join(" to ") ?? null, changed: changed.join(", ") };
  });
}

function noteRows({ notes }: EvidencePack): FigureRow[] {
  return notes.map((note) => ({
    number: note.id,
    kind: note.kind,
    instrument: note.instrument,
    made_at: new Date(note.madeAtMs).toISOString(),
    by: note.by,
    why: note.why,
    undone_by: note.undoneBy?.by ?? null,
  }));
}

function findingRows({ findings }: EvidencePack): FigureRow[] {
  return findings.map((finding) => {
    const { left_tolerance: left, result_off_percent: _, record, ...figures } = findingReport(finding);
    const last = record?.decisions.at(-1);
    return {
      ...figures,
      left_p05: left?.p05 ?? null,
      left_p50: left?.p50 ?? null,
      left_p95: left?.p95 ?? null,
      recorded_by: record?.by ?? null,
      decision: last?.decision ?? null,
      decided_by: last?.by ?? null,
    };
  });
}

function forecastRows({ record }: EvidencePack): FigureRow[] {
  return (record?.forecasts ?? []).map((forecast) => ({
    instrument: forecast.instrument,
    made_on: isoOfDay(forecast.madeOnDay),
    service: isoOfDay(forecast.serviceDay),
    p_out_before_service: forecast.p,
    went_out: forecast.wentOut,
    found_on: forecast.foundOnDay === null ? null : isoOfDay(forecast.foundOnDay),
  }));
}

function lotRows({ run }: EvidencePack): FigureRow[] {
  return run.assessment.lots.map((lot) => ({
    fluid_lot: lot.fluidLot,
    error_percent: lot.errorPercent,
    error_sd: lot.errorSd,
    units: lot.units,
    checks: lot.checks,
    verdict: lot.verdict,
    note: lot.note,
  }));
}

function fileRows({ files }: EvidencePack): FigureRow[] {
  return files.map((file) => ({
    file: file.file,
    kind: file.kind,
    taken_in_at: new Date(file.takenInAtMs).toISOString(),
    sha256: file.sha256,
    profile_sha256: file.profileSha256,
    rows: file.rows,
    accepted: file.accepted,
    repeated: file.repeated,
    held_back: file.quarantined,
    flagged: file.flagged,
  }));
}
