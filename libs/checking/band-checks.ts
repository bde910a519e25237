import { direction, distance, dot, way, type Point } from '#geometry';
import { inMm, seamLengthMm, type Piece } from '#pattern';
import { CHOICE, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import type { SeamOutline } from './seam-outline.js';

/** What the waistband says of the waist it is sewn to. */
export interface BandReading {
  /** Round the body, without underlap. */
  readonly lengthMm: number | undefined;
  readonly found: readonly Found[];
}

/** A stretch of band between two marks. */
interface Stretch {
  readonly mm: number;
  readonly end: { readonly piece: string; readonly at: Point };
}

/** Stretches that are further off what they are sewn to were not meant for it. */
const MEANT_MM = 30;
/** What a band may be longer than the waist, to lie under the closing. */
const UNDERLAP_MM_MAX = 90;

/**
 * The waistband read against the waist seams: its notches name centre, sides and centre, its ends the underlap.
 *
 * Shape     the stretches between the notches of one long edge, of one strip or of several joined, are laid along front,
 *           back, back, front, beginning at any of them, as most of the stretches fit; what is over at an end is underlap.
 * Edges     without notches the whole edge is compared: up to 90 mm longer is taken for an underlap and said.
 */
export function readBand(
  strips: readonly SeamOutline[],
  front: Piece,
  back: Piece,
  settings: CheckSettings,
): BandReading {
  if (strips.length === 0) return { lengthMm: undefined, found: [] };
  const [f, b] = [front, back].map((piece) => seamLengthMm(piece, 'waist', 0.01));
  const girthMm = 2 * (f + b);
  const best = strips
    .reduce<Stretch[][]>(
      (ways, strip) =>
        ways.flatMap((before) => stripWays(strip).map((stretches) => [...before, ...stretches])),
      [[]],
    )
    .flatMap((stretches) => laidAlong(stretches, [f, b, b, f]))
    // One notch out of place spoils two stretches; read from the wrong seam on, all four are off, but each by less.
    .sort((x, y) => y.fitting - x.fitting || doubt(x) - doubt(y))[0];
  if (best !== undefined) {
    const allowedMm = DRIFT_MM + (settings.truing.bandFullnessMax * girthMm) / 4;
    const drift = best.marks.reduce((worst, mark) =>
      Math.abs(mark.offMm) > Math.abs(worst.offMm) ? mark : worst,
    );
    return {
      lengthMm: best.lengthMm,
      found: Math.abs(drift.offMm) > allowedMm ? [notchDrifted(drift, allowedMm)] : [],
    };
  }
  const lengthMm = strips.reduce((sum, strip) => sum + longEdge(strip).mm, 0);
  const overMm = lengthMm - girthMm;
  if (overMm <= MEANT_MM / 10 || overMm > UNDERLAP_MM_MAX) return { lengthMm, found: [] };
  return { lengthMm: girthMm, found: [underlapTaken(strips[0], overMm)] };
}

const DRIFT_MM = 1;
const STRIPS_MAX = 3;

function stripWays(strip: SeamOutline): Stretch[][] {
  const edge = longEdge(strip);
  const there = stretchesOf(strip, edge.from, edge.to);
  const back = stretchesOf(strip, edge.to, edge.from);
  return [there, back];
}

interface LongEdge {
  readonly from: Point;
  readonly to: Point;
  readonly mm: number;
}

/** The longest side of a strip, with the notches on it; of two alike the one with more notches. */
function longEdge({ curves, piece }: SeamOutline): LongEdge {
  const sides = curves.map(({ curve }) => {
    const [from, to] = [curve.p0, curve.kind === 'line' ? curve.p1 : curve.p3];
    const on = piece.notches.filter(({ at }) => offSegment(at, from, to) < NOTCH_NEAR_MM).length;
    return { from, to, mm: distance(from, to), on };
  });
  const longest = Math.max(...sides.map(({ mm }) => mm));
  return sides
    .filter(({ mm }) => mm > 0.98 * longest)
    .reduce((best, side) => (side.on > best.on ? side : best));
}

/** Notches stand on the cut line, an allowance away from the edge. */
const NOTCH_NEAR_MM = 25;

function offSegment(p: Point, from: Point, to: Point): number {
  const along = direction(from, to);
  const reach = way(from, p);
  const mm = Math.min(distance(from, to), Math.max(0, dot(reach, along)));
  return distance(p, { x: from.x + mm * along.x, y: from.y + mm * along.y });
}

function stretchesOf({ piece }: SeamOutline, from: Point, to: Point): Stretch[] {
  const along = direction(from, to);
  const lengthMm = distance(from, to);
  const marks = piece.notches
    .filter(({ at }) => offSegment(at, from, to) < NOTCH_NEAR_MM)
    .map(({ at }) => ({ at, mm: dot(way(from, at), along) }))
    .filter(({ mm }) => mm > 1 && mm < lengthMm - 1)
    .sort((a, b) => a.mm - b.mm);
  const ends = [...marks, { at: to, mm: lengthMm }];
  return ends.map(({ at, mm }, i) => ({
    mm: mm - (i === 0 ? 0 : ends[i - 1].mm),
    end: { piece: piece.block, at },
  }));
}

interface LaidBand {
  readonly lengthMm: number;
  /** How many of the four are as long as what they are sewn to, but for ease that is spread over all of them. */
  readonly fitting: number;
  readonly worstMm: number;
  /** Which of the four quarters it begins with. */
  readonly turn: number;
  readonly marks: readonly BandMark[];
}

/** A notch of the band, and how far along it stands past what it should meet. */
interface BandMark {
  readonly offMm: number;
  readonly end: Stretch['end'];
}

/** Four stretches in a row that fit the four quarters of the waist, from any of them on; the rest has to be underlap. */
function laidAlong(stretches: readonly Stretch[], quarters: readonly number[]): LaidBand[] {
  if (stretches.length < 4 || stretches.length > 4 + STRIPS_MAX) return [];
  return [0, 1, 2, 3].flatMap((turn) => {
    const wanted = quarters.map((_, i) => quarters[(i + turn) % 4]);
    return stretches.slice(0, stretches.length - 3).flatMap((_, first) => {
      const rest = sumOf(stretches.filter((__, i) => i < first || i >= first + 4));
      const four = stretches.slice(first, first + 4);
      const worstMm = Math.max(...four.map(({ mm }, i) => Math.abs(mm - wanted[i])));
      if (worstMm > MEANT_MM || rest > UNDERLAP_MM_MAX) return [];
      const lengthMm = sumOf(four);
      const eased = lengthMm / quarters.reduce((sum, mm) => sum + mm, 0);
      const offs = four.map(({ mm }, i) => mm - eased * wanted[i]);
      const fitting = offs.filter((mm) => Math.abs(mm) <= DRIFT_MM).length;
      const marks = four.slice(0, 3).map(({ end }, i) => ({
        offMm: offs.slice(0, i + 1).reduce((sum, mm) => sum + mm, 0),
        end,
      }));
      return [{ lengthMm, fitting, worstMm, turn, marks }];
    });
  });
}

/** Trousers open at centre front, some at centre back, hardly one at a side: of two readings alike the usual one counts. */
const UNUSUAL_MM = [0, 2, 1, 2].map((times) => times * DRIFT_MM);

function doubt({ worstMm, turn }: LaidBand): number {
  return worstMm + UNUSUAL_MM[turn];
}

function sumOf(stretches: readonly Stretch[]): number {
  return stretches.reduce((sum, { mm }) => sum + mm, 0);
}

function notchDrifted({ offMm, end }: BandMark, allowedMm: number): Found {
  return {
    code: 'BAND_NOTCH_OFF',
    level: 'warning',
    message: `A notch of the waistband stands ${inMm(Math.abs(offMm))} beside the seam of the waist that it should meet.`,
    action: 'Set the notches of the band by the waist seams: centre, side, centre.',
    place: { piece: end.piece, part: 'notch', at: end.at },
    numbers: { differenceMm: offMm },
    tolerance: { value: allowedMm, unit: 'mm' },
    basis: CHOICE,
  };
}

function underlapTaken({ piece }: SeamOutline, overMm: number): Found {
  return {
    code: 'BAND_UNDERLAP_TAKEN',
    level: 'info',
    message: `${piece.name} is ${inMm(overMm)} longer than the waist; that was taken for its underlap.`,
    action: 'Notch the band at centre front, sides and centre back to have it compared.',
    place: { piece: piece.block },
    numbers: { overMm },
    basis: CHOICE,
  };
}
