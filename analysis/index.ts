/** What other rooms may import from the analysis. */
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
export { BAND_EDGES, BAND_NAMES, type BandName, bandOf, JUDGING_TORQUES } from "./band.ts";
export { CHECK_GRACE, checkIntervalDays } from "./check-frequency.ts";
export type { ChartPoint } from "./control-charts/chart-point.ts";
export {
  BASELINE_CHECKS,
  fitIndividualsBaseline,
  type IndividualsLimits,
  type JudgedPoint,
  judgeIndividuals,
} from "./control-charts/individuals.ts";
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
export { type CylinderGeometry, fullScaleRangeMPaS } from "./geometry.ts";
export { cutLives, type Life } from "./life.ts";
export { fluidValueAt } from "./temperature.ts";
export {
  type Combination,
  DEFAULT_TOLERANCE_RULE,
  type JudgedReading,
  judgeReading,
  type ReadingFacts,
  sharesFor,
  type ToleranceRule,
  type ToleranceShares,
  tolerancePercentFs,
} from "./tolerance.ts";
