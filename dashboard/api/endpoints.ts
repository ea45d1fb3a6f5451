import type { Endpoint } from "./endpoint.ts";
import { FLEET_ENDPOINTS } from "./fleet-endpoints.ts";
import { RECORDS_ENDPOINTS } from "./records-endpoints.ts";

/** The whole API, in the order in which it is described. */
export const ENDPOINTS: readonly Endpoint[] = [...FLEET_ENDPOINTS, ...RECORDS_ENDPOINTS];
