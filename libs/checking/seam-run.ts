import {
  along,
  directionAt,
  leftOf,
  parameterAtLength,
  pointAt,
  quadratureLength,
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

  private constructor(
    /** Places among the curves of the leg, and the curves, both from the hem up. */
    private readonly places: readonly number[],
    private readonly curves: readonly Curve[],
    private readonly isTurned: boolean,
  ) {
    this.lengths = curves.map(quadratureLength);
    this.lengthMm = this.lengths.reduce((sum, mm) => sum + mm, 0);
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
    const at = this.places.indexOf(index);
    if (at < 0) return undefined;
    const before = this.lengths.slice(0, at).reduce((sum, mm) => sum + mm, 0);
    return before + (this.isTurned ? this.lengths[at] - fromStartMm : fromStartMm);
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
    let rest = mm;
    for (const [i, curve] of this.curves.entries()) {
      const isLast = i + 1 === this.curves.length;
      if (rest > this.lengths[i] && !isLast) {
        rest -= this.lengths[i];
        continue;
      }
      const t = parameterAtLength(curve, Math.min(rest, this.lengths[i]), PLACE_MM);
      return { at: pointAt(curve, t), direction: directionAt(curve, t) };
    }
    throw new Error('SEAM_WITHOUT_CURVES');
  }
}
