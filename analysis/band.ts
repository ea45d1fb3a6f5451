export const BAND_NAMES = ["low", "medium", "high"] as const;
export type BandName = (typeof BAND_NAMES)[number];
