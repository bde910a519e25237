import { add, quadratureLength, scale, way, type Point } from '#geometry';
import type { Leg } from './leg-block.js';
import { SeamRun, type LongSeam } from './seam-run.js';
import type { Foot } from './seam-outline.js';

/** An end of a long seam that is moved along it. */
export interface EndMove {
  readonly seam: LongSeam;
  readonly end: 'hem' | 'waist';
  /** The seam gets this much longer; negative: shorter. */
  readonly longerMm: number;
  /** The points of the seam within this of the end are spread over what is there now. */
  readonly overMm: number;
}

/** A stretch of a long seam that is redrawn fuller or flatter; its ends and their directions stay. */
export interface Bow {
  readonly seam: LongSeam;
  /** Both from the hem. */
  readonly fromMm: number;
  readonly toMm: number;
  /** How far the middle goes, to the left of the way up. */
  readonly byMm: number;
}

/** What is done to the seams of one leg. */
export interface LegMoves {
  readonly ends: readonly EndMove[];
  readonly bows: readonly Bow[];
}

export const NO_MOVES: LegMoves = { ends: [], bows: [] };

/** A notch or a point this near to the end of a seam belongs to that end: it marks the hem or the waist and goes with it. */
export const END_MM = 3;

const STAYS: Point = { x: 0, y: 0 };

/**
 * How far each place on the seams of a leg goes.
 *
 * A moved end slides along its seam, and the points next to it slide along the seam too, so that its line stays. The
 * hem follows straight: its other end and its straightness stay. The waist follows up to the first dart or to the
 * centre, and leaves side and dart in the directions that it had.
 */
export function displacement(leg: Leg, { ends, bows }: LegMoves): (foot: Foot) => Point {
  const runs = { inseam: SeamRun.of(leg, 'inseam'), outseam: SeamRun.of(leg, 'outseam') };
  const onSeam = (seam: LongSeam, mm: number): Point => {
    const run = runs[seam];
    const slides = ends
      .filter((each) => each.seam === seam)
      .map((each) => way(run.pointAt(mm), run.pointAt(slid(each, mm, run.lengthMm))));
    const bent = bows
      .filter((each) => each.seam === seam)
      .map((each) =>
        scale(run.leftAt(mm), each.byMm * bowShare((mm - each.fromMm) / (each.toMm - each.fromMm))),
      );
    return [...slides, ...bent].reduce(add, STAYS);
  };
  const hem = new Stretch(leg, 'hem');
  const sidePanel = new Stretch(leg, 'waist');
  const hemEnds = [onSeam('inseam', 0), onSeam('outseam', 0)];
  const sideWaist = onSeam('outseam', runs.outseam.lengthMm);
  return (foot) => {
    const role = leg.roles[foot.index];
    if (role === 'inseam' || role === 'outseam') return onSeam(role, runs[role].fromHemMm(foot) ?? 0);
    if (role === 'hem') {
      const share = hem.share(foot) ?? 0;
      return add(scale(hemEnds[0], 1 - share), scale(hemEnds[1], share));
    }
    const share = role === 'waist' ? sidePanel.share(foot) : undefined;
    return share === undefined ? STAYS : scale(sideWaist, 1 - share * share * (3 - 2 * share));
  };
}

/** Where on the old seam, or past its end, a point lies now. */
function slid({ end, longerMm, overMm }: EndMove, mm: number, seamMm: number): number {
  const fromEndMm = end === 'hem' ? mm : seamMm - mm;
  const share = Math.min(1, Math.max(0, (overMm - fromEndMm) / (overMm - END_MM)));
  return mm + (end === 'hem' ? -share : share) * longerMm;
}

/** The share of the ends of a bow over which it rises; between them all of it is moved alike. */
const RISE = 1 / 3;

/** How much of a bow is at a share of its stretch: it leaves both ends in the direction of the seam. */
export function bowShare(share: number): number {
  const fromEnd = Math.min(share, 1 - share);
  if (fromEnd <= 0) return 0;
  return fromEnd >= RISE ? 1 : (1 - Math.cos((Math.PI * fromEnd) / RISE)) / 2;
}

/** The first unbroken run of edges of one role, clockwise: the hem from the inseam, the waist from the side to its dart. */
class Stretch {
  private readonly starts = new Map<number, number>();
  private readonly totalMm: number;

  constructor({ reading: { curves, corners }, roles }: Leg, role: 'hem' | 'waist') {
    const first = role === 'hem' ? corners.hemInseam : corners.sideWaist;
    let sum = 0;
    for (let k = 0; k < curves.length; k++) {
      const i = (first + k) % curves.length;
      if (roles[i] !== role) break;
      this.starts.set(i, sum);
      sum += quadratureLength(curves[i]);
    }
    this.totalMm = sum;
  }

  /** How much of the stretch lies before a place on it; undefined beside it. */
  share({ index, fromStartMm }: Foot): number | undefined {
    const startMm = this.starts.get(index);
    if (startMm === undefined || this.totalMm === 0) return undefined;
    return Math.min(1, (startMm + fromStartMm) / this.totalMm);
  }
}
