/** Light that may have been added where it wasn't on the plates. */
export type AddedLight = {
  /** Its shape over the points, alike in all channels but for its tint and what they reflect. */
  shape: Float64Array;
  /** By channel: red, green, blue. */
  tint: readonly [number, number, number];
  /** How much of it is likely, one σ. */
  sigma: number;
};

/** The added lights point by point: those of the i-th are from `start[i]` to `start[i + 1]`. */
export type AddedRows = {
  start: Int32Array;
  which: Uint8Array;
  values: Float64Array;
  /** Lights of the same tint share what depends on it: the number of each light's tint, and the tints, three values each. */
  tintOf: Uint8Array;
  tints: Float64Array;
  /** How much of them each point reflects, three channels after one another. */
  reflected: Float64Array;
};

const tintsOf = (added: readonly AddedLight[]): Pick<AddedRows, 'tintOf' | 'tints'> => {
  const kinds: AddedLight['tint'][] = [];
  const tintOf = Uint8Array.from(added, ({tint}) => {
    const known = kinds.findIndex(kind => kind.every((value, c) => value === tint[c]));
    return known >= 0 ? known : kinds.push(tint) - 1;
  });
  return {tintOf, tints: Float64Array.from(kinds.flat())};
};

/**
 * Most of the added lights lie on a part of the points alone: only those are gone through.
 * @param reflected how much of them each point reflects, three channels after one another
 */
export const addedRows = (added: readonly AddedLight[], reflected: Float64Array): AddedRows => {
  const points = reflected.length / 3;
  const start = new Int32Array(points + 1);
  for (const {shape} of added) for (let i = 0; i < points; i++) if (shape[i] !== 0) start[i + 1] = start[i + 1]! + 1;
  for (let i = 0; i < points; i++) start[i + 1] = start[i + 1]! + start[i]!;
  const which = new Uint8Array(start[points]!);
  const values = new Float64Array(start[points]!);
  const next = start.slice();
  for (let k = 0; k < added.length; k++) {
    const {shape} = added[k]!;
    for (let i = 0; i < points; i++) {
      if (shape[i] === 0) continue;
      const at = next[i]!;
      which[at] = k;
      values[at] = shape[i]!;
      next[i] = at + 1;
    }
  }
  return {start, which, values, reflected, ...tintsOf(added)};
};
