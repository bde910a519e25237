import {
  along,
  curveLength,
  directionAt,
  leftOf,
  parameterAtLength,
  pointAt,
  reversed,
  type Curve,
  type Point,
} from '#geometry';
import type { Leg } from './leg-block.js';
import type { Foot } from './seam-outline.js';

export type LongSeam = 'inseam' | 'outseam';

const PLACE_MM = 1e-4;

/** A long seam of a leg, travelled from the hem up, by the tape laid on it. */
export class SeamRun {
  readonly lengthMm: number;
  private readonly lengths: readonly number[];
  /** From the hem to the start of each curve. */
  private readonly starts: readonly number[];
  private readonly order: ReadonlyMap<number, number>;

  private constructor(
    /** Places among the curves of the leg, and the curves, both from the hem up. */
    places: readonly number[],
    private readonly curves: readonly Curve[],
    private readonly isTurned: boolean,
  ) {
    // Certified: at a cusp, which a file may hold, quadrature is off by more than a place along the curve may be.
    this.lengths = curves.map((curve) => curveLength(curve, PLACE_MM));
    const starts: number[] = [];
    let sum = 0;
    for (const mm of this.lengths) {
      starts.push(sum);
      sum += mm;
    }
    this.lengthMm = sum;
    this.starts = starts;
    this.order = new Map(places.map((place, i) => [place, i]));
  }

  static of({ reading: { curves }, roles }: Pick<Leg, 'reading' | 'roles'>, seam: LongSeam): SeamRun {
    const count = curves.length;
    const first = roles.findIndex((role, i) => role === seam && roles[(i + count - 1) % count] !== seam);
    const places = curves
      .map((_, k) => (first + k) % count)
      .slice(0, roles.filter((role) => role === seam).length);
    const clockwise = places.map((i) => curves[i]);
    return seam === 'outseam'
      ? new SeamRun(places, clockwise, false)
      : new SeamRun([...places].reverse(), clockwise.map(reversed).reverse(), true);
  }

  /** How far from the hem, along the seam, a place on one of the leg's curves is; undefined on another seam. */
  fromHemMm({ index, fromStartMm }: Pick<Foot, 'index' | 'fromStartMm'>): number | undefined {
    const at = this.order.get(index);
    if (at === undefined) return undefined;
    return this.starts[at] + (this.isTurned ? this.lengths[at] - fromStartMm : fromStartMm);
  }

  /** The point at a distance from the hem; past either end straight on as the seam leaves it. */
  pointAt(mm: number): Point {
    if (mm < 0) return along(this.placed(0).at, this.placed(0).direction, mm);
    if (mm <= this.lengthMm) return this.placed(mm).at;
    const top = this.placed(this.lengthMm);
    return along(top.at, top.direction, mm - this.lengthMm);
  }

  /** To the left of the way up. */
  leftAt(mm: number): Point {
    return leftOf(this.placed(Math.min(this.lengthMm, Math.max(0, mm))).direction);
  }

  private placed(mm: number): { readonly at: Point; readonly direction: Point } {
    // The last curve that starts at or before the place.
    let [low, high] = [0, this.curves.length - 1];
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.starts[middle] <= mm) low = middle;
      else high = middle - 1;
    }
    const curve = this.curves[low];
    const t = parameterAtLength(curve, Math.min(mm - this.starts[low], this.lengths[low]), PLACE_MM);
    return { at: pointAt(curve, t), direction: directionAt(curve, t) };
  }
}
