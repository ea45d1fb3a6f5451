import {
  type FitOrder,
  type FitPart,
  FitShare,
  type FleetChecks,
  type FleetFigures,
  forecastUnits,
} from "../../analysis/index.ts";
import { inTurn } from "./in-turn.ts";
import { answerOrders } from "./staying-thread.ts";

/** What a thread that shares the work on a fleet is sent. */
export type FleetOrder =
  /** The parts of a fleet that it is to learn from; answered with nothing. */
  | { readonly parts: readonly FitPart[] }
  /** A step of learning from them; answered with the parts' answers. */
  | { readonly step: FitOrder }
  /** Units of a fleet to be forecast, taken in turn with other threads; answered with their forecasts. */
  | { readonly fleet: FleetChecks; readonly figures: FleetFigures; readonly taken: Int32Array };

let share = new FitShare([]);

function answerTo(order: FleetOrder) {
  if ("step" in order) return share.answer(order.step);
  if ("fleet" in order)
    return forecastUnits(order.fleet, order.figures, inTurn(order.fleet.units, order.taken));
  share = new FitShare(order.parts);
  return null;
}

answerOrders(answerTo);
