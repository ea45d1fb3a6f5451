/** What other rooms may import from the analysis. */
export { assessFleet, assessmentOf, forecastUnits, likeliestFirst } from "./assess-fleet.ts";
export type {
  BandOutlook,
  BandPath,
  BathAssessment,
  FleetAssessment,
  LotAssessment,
  LotVerdict,
  PatternName,
  ShapeOutlook,
  StepFound,
  UnitForecast,
  UnitPaths,
  UnitState,
} from "./assessment.ts";
export { BAND_NAMES, type BandName, bandOf, JUDGING_TORQUES } from "./band.ts";
export { DEFAULT_CHECK_EVERY_DAYS, longestCheckGap } from "./check-frequency.ts";
export type { AlarmBudget } from "./control-charts/alarm-limits.ts";
export {
  BASELINE_CHECKS,
  fitIndividualsBaseline,
  judgeIndividuals,
} from "./control-charts/individuals.ts";
export { type BackTest, BackTester, type ScoredForecast, scoresOf } from "./drift/back-test.ts";
export { FIGURES_FORM, type FleetFigures } from "./drift/figures.ts";
export { fitFleet, fitInSteps, fitParts } from "./drift/fit-fleet.ts";
export { FitShare } from "./drift/fit-share.ts";
export type { FitOrder, FitPart, PartAnswer } from "./drift/fit-steps.ts";
export { unitInFull } from "./drift/forecast-unit.ts";
export {
  FAILURES_TO_JUDGE,
  failuresIn,
  livesIn,
  type RecordClass,
  recordClasses,
} from "./drift/record-classes.ts";
export { AnalysisError } from "./errors.ts";
export {
  type FleetChecks,
  type LotFacts,
  STAGES,
  type Stage,
  type UnitChecks,
  type UnitReadings,
  USE,
} from "./fleet.ts";
export { judgeBath } from "./fluids/judge-bath.ts";
export type { LotPath } from "./fluids/lot-course.ts";
export { SIDE_BY_SIDE_DAYS } from "./fluids/lot-use.ts";
export { type LotInFull, type LotUnit, type LotUse, lotsFromUses, lotUses } from "./fluids/lots-in-full.ts";
export { fullScaleRangeMPaS } from "./geometry.ts";
export { cutLives, type Life } from "./life.ts";
export { compareLinearity, type LinearityDifference } from "./linearity/compare.ts";
export {
  DEPARTURE_PER_CURVATURE,
  fitLinearity,
  type LinearityFit,
  type LinearityReadings,
  linearityBand,
  linearityReadings,
} from "./linearity/pooled.ts";
export { type SecondFluid, secondFluidTest } from "./linearity/second-fluid.ts";
export { bookInOrder, dueDateOrder } from "./planning/book-in-order.ts";
export {
  type BookingReason,
  bookingReasons,
  obstaclesByWeek,
  type Shortage,
  worstShortage,
} from "./planning/booking-reasons.ts";
export {
  type BookingProblem,
  type Bookings,
  type BookingUnit,
  type CoverRule,
  expectedDaysOut,
  type Workshop,
} from "./planning/bookings.ts";
export {
  type EarnedIntervals,
  type GroupInterval,
  type IntervalFacts,
  intervalFacts,
  intervalsFrom,
  type UnitInterval,
} from "./planning/earned-intervals.ts";
export { type FoundOut, foundOut, latestFoundFirst, sinceWhenFound } from "./planning/found-out.ts";
export { type PlanOutcome, planOutcome } from "./planning/plan-outcome.ts";
export {
  type FoundReturn,
  forecastReturns,
  foundReturns,
  latestReturns,
  type ReturnedUnit,
} from "./planning/returned.ts";
export { type RiskCourse, riskCourses, riskOn } from "./planning/risk-course.ts";
export type { Obstacle } from "./planning/room.ts";
export type { ResultOff, SinceWhen } from "./planning/since-when.ts";
export { solveBookings } from "./planning/solve-bookings.ts";
export { loadSolver } from "./planning/solver.ts";
export { type SiteScatter, siteScatter } from "./site-scatter.ts";
export { fluidValueAt } from "./temperature.ts";
export {
  type ToleranceRule,
  tolerancePercentFs,
} from "./tolerance.ts";
export { type BudgetCost, budgetCost } from "./watch/budget-cost.ts";
export { QUANTITIES, type Quantity } from "./watch/quantities.ts";
export { budgetOf, type LimitBasis, type WatchBasis, watchBasis } from "./watch/watch-basis.ts";
export {
  type FleetWatch,
  inOrder,
  type KeptLimits,
  type ReviewEntry,
  reviewList,
  type WatchSignal,
  watchFleet,
  watchUnits,
} from "./watch/watch-fleet.ts";
export { type QuantityChart, type UnitWatch, watchUnit } from "./watch/watch-unit.ts";
