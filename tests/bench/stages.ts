/** Where the data of one size lie, and as of which day they are looked at. */
export interface Place {
  readonly files: string;
  readonly store: string;
  readonly asOf: string;
}

/**
 * Every stage runs in a process of its own, which loads no more than that stage needs, so that its memory is its own.
 * What a stage measured goes by names of its own; times are in seconds.
 */
export const STAGES = {
  engine: async (place: Place) => (await import("./intake-stages.ts")).engine(place),
  intake: async (place: Place) => (await import("./intake-stages.ts")).intake(place),
  load: async (place: Place) => (await import("./analysis-stages.ts")).load(place),
  learn: async (place: Place) => (await import("./analysis-stages.ts")).learn(place),
  analysis: async (place: Place) => (await import("./analysis-stages.ts")).analysis(place),
  bare: async (place: Place) => (await import("./analysis-stages.ts")).bare(place),
  server: async (place: Place) => (await import("./server-stage.ts")).server(place),
} as const;

export type StageName = keyof typeof STAGES;
