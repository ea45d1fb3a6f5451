/** What other rooms may import from the analysis. */
export { assessFleet } from "./assess-fleet.ts";
export type {
  BandOutlook,
  BandPath,
  BathAssessment,
  FleetAssessment,
  ForecastBasis,
  LotAssessment,
  LotVerdict,
  PatternName,
  ShapeName,
  ShapeOutlook,
  StepFound,
  UnitForecast,
  UnitPaths,
  UnitState,
} from "./assessment.ts";
export { BAND_NAMES, type BandName, bandOf, JUDGING_TORQUES } from "./band.ts";
export { longestCheckGap } from "./check-frequency.ts";
export type { ChartPoint } from "./control-charts/chart-point.ts";
export {
  BASELINE_CHECKS,
  fitIndividualsBaseline,
  judgeIndividuals,
} from "./control-charts/individuals.ts";
export { assessBaths, assessLots } from "./drift/assess-shared.ts";
export type { FleetFigures } from "./drift/figures.ts";
export { fitFleet } from "./drift/fit-fleet.ts";
export { followUnit } from "./drift/follow-unit.ts";
export { forecastUnit } from "./drift/forecast-unit.ts";
export { AnalysisError } from "./errors.ts";
export {
  type FleetChecks,
  type LotFacts,
  type Service,
  STAGES,
  type Stage,
  type UnitChecks,
  type UnitReadings,
  USE,
} from "./fleet.ts";
export { fullScaleRangeMPaS } from "./geometry.ts";
export { cutLives, type Life } from "./life.ts";
export {
  fitLinearity,
  type LinearityReadings,
  linearityBand,
  linearityReadings,
} from "./linearity/pooled.ts";
export { fluidValueAt } from "./temperature.ts";
export {
  type ToleranceRule,
  tolerancePercentFs,
} from "./tolerance.ts";
export { QUANTITIES, type Quantity } from "./watch/quantities.ts";
export {
  type FleetWatch,
  type KeptLimits,
  type WatchSignal,
  watchFleet,
} from "./watch/watch-fleet.ts";
