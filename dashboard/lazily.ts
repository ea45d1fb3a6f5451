/** An object whose parts are worked out when they are first asked for, and then kept. */
export function lazily<Whole extends object>(
  parts: {
    readonly [Name in keyof Whole]: () => Whole[Name];
  },
): Whole {
  const whole = {} as Whole;
  for (const name of Object.keys(parts) as (keyof Whole)[]) {
    const define = (how: PropertyDescriptor) =>
      Object.defineProperty(whole, name, { enumerable: true, configurable: true, ...how });
    define({
      get: () => {
        const value = parts[name]();
        define({ value });
        return value;
      },
    });
  }
  return whole;
}
