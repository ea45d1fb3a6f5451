/** A year is taken as this many days everywhere in the analysis. */
export const DAYS_A_YEAR = 365.25;
