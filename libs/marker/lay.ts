/** Where every piece lies, and the length of cloth that takes. */
export interface Lay {
  readonly xs: Float64Array;
  readonly ys: Float64Array;
  readonly vs: Int32Array;
  length: number;
}

export function emptyLay(count: number): Lay {
  return {
    xs: new Float64Array(count),
    ys: new Float64Array(count),
    vs: new Int32Array(count),
    length: Infinity,
  };
}

export function copyOf(lay: Lay): Lay {
  return { xs: lay.xs.slice(), ys: lay.ys.slice(), vs: lay.vs.slice(), length: lay.length };
}
