/**
 * Works a thing out once for each object that it follows from; it is let go with that object.
 *
 * @param make Must give the same whenever it is given the same object.
 */
export function oncePer<From extends object, Made>(make: (from: From) => Made): (from: From) => Made {
  const made = new WeakMap<From, { readonly value: Made }>();
  return (from) => {
    const known = made.get(from);
    if (known !== undefined) return known.value;
    const value = make(from);
    made.set(from, { value });
    return value;
  };
}
