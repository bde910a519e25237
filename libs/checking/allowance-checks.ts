import {
  curveLength,
  directionAt,
  distance,
  leftOf,
  parameterAtLength,
  pointAt,
  quadratureLength,
  ringContains,
  startOf,
  type Curve,
  type Point,
} from '#geometry';
import { inMm, type EdgeRole } from '#pattern';
import { offRing, type ForeignPiece } from '#interchange';
import { CHOICE, PRACTICE, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { toFile, toFrame, type LegReading } from './leg-frame.js';
import type { Leg } from './leg-block.js';
import { hitMm } from './ring-reach.js';
import { POINTS_MAX, type SeamOutline } from './seam-outline.js';

/** The width of an allowance at one place of its seam. */
interface Station {
  readonly at: Point;
  readonly widthMm: number;
  /** Along its run, from 0 to its length. */
  readonly alongMm: number;
}

/** A run of seam curves between two corners, with the widths of its allowance. */
interface AllowanceRun {
  readonly part: string;
  readonly lengthMm: number;
  readonly stations: readonly Station[];
  readonly start: Point;
}

export const STEP_MM = 12;
export const STATIONS_MAX = 400;
const SAID_MAX = 3;

/** The allowance between cut line and sew line of one piece: there at all, wide enough, without dips, whole at its corners. */
export function checkAllowance(outline: SeamOutline, leg: Leg | undefined, settings: CheckSettings): Found[] {
  const { piece, basis } = outline;
  if (basis === 'cut line' || piece.boundary?.closed !== true || piece.boundary.points.length > POINTS_MAX)
    return [];
  const runs = runsOf(outline, leg);
  const places = [...outline.points, ...runs.flatMap(({ stations }) => stations.map(({ at }) => at))];
  const outside = places.filter(
    (p) => !ringContains(cutPoints(piece), p) && offRing(p, cutPoints(piece)) > OUT_MM,
  );
  if (outside.length > 0) return [sewOutside(piece, outside)];
  return runs.flatMap((run, i) => [
    ...narrow(piece, run, settings),
    ...uneven(piece, run, settings),
    ...cutOff(piece, runs[(i + runs.length - 1) % runs.length], run),
  ]);
}

const OUT_MM = 0.3;

function cutPoints(piece: ForeignPiece): readonly Point[] {
  return piece.boundary?.points ?? [];
}

function sewOutside(piece: ForeignPiece, outside: readonly Point[]): Found {
  const worst = outside
    .map((at) => ({ at, mm: offRing(at, cutPoints(piece)) }))
    .reduce((most, each) => (each.mm > most.mm ? each : most));
  return {
    code: 'SEW_OUTSIDE_CUT',
    level: 'stop',
    message: `The sew line of ${piece.name} lies ${inMm(worst.mm)} outside of its cut line.`,
    action: 'Draw the cut line round the sew line.',
    place: { piece: piece.block, part: 'sew line', at: worst.at },
    numbers: { outsideMm: worst.mm },
    tolerance: { value: OUT_MM, unit: 'mm' },
    basis: PRACTICE,
  };
}

/** Runs between corners: those of a leg by its roles, those of any other piece by its turn points. */
function runsOf(outline: SeamOutline, leg: Leg | undefined): AllowanceRun[] {
  const curves = outline.curves.map(({ curve }) => curve);
  const parts = leg === undefined ? undefined : partsInFile(leg);
  const starts = curves.flatMap((_, i) => {
    const before = (i + curves.length - 1) % curves.length;
    const isCorner = parts === undefined ? isTurn(curves[before], curves[i]) : parts[i] !== parts[before];
    return isCorner ? [i] : [];
  });
  return starts.flatMap((start, k) => {
    const end = starts[(k + 1) % starts.length];
    const count = (end - start + curves.length) % curves.length || curves.length;
    const own = Array.from({ length: count }, (_, i) => curves[(start + i) % curves.length]);
    const part = parts?.[start] ?? 'allowance';
    return part === 'dart' ? [] : [measured(own, part, outline.piece)];
  });
}

/** The role of each curve as the file has them. */
export function partsInFile({ reading, roles }: Leg): string[] {
  const parts: string[] = [];
  for (const [i, place] of reading.source.entries()) parts[place] = roles[i];
  return parts;
}

const TURN_COS = Math.cos((20 * Math.PI) / 180);

function isTurn(before: Curve, after: Curve): boolean {
  const [a, b] = [directionAt(before, 1), directionAt(after, 0)];
  return a.x * b.x + a.y * b.y < TURN_COS;
}

const PLACE_MM = 0.01;

function measured(curves: readonly Curve[], part: string, piece: ForeignPiece): AllowanceRun {
  // Certified: at a cusp, which a file may hold, quadrature is off by more than a place along the curve may be.
  const lengths = curves.map((curve) => curveLength(curve, PLACE_MM));
  const lengthMm = lengths.reduce((sum, mm) => sum + mm, 0);
  const count = Math.min(STATIONS_MAX, Math.max(4, Math.round(lengthMm / STEP_MM)));
  const stations = Array.from({ length: count + 1 }, (_, k) =>
    stationAt(curves, lengths, (lengthMm * k) / count, piece),
  );
  return { part, lengthMm, stations, start: startOf(curves[0]) };
}

function stationAt(
  curves: readonly Curve[],
  lengths: readonly number[],
  alongMm: number,
  piece: ForeignPiece,
): Station {
  let rest = alongMm;
  let i = 0;
  while (i + 1 < curves.length && rest > lengths[i]) rest -= lengths[i++];
  const mm = Math.min(Math.max(rest, 0), lengths[i]);
  const t = mm <= 0 ? 0 : mm >= lengths[i] ? 1 : parameterAtLength(curves[i], mm, PLACE_MM);
  const at = pointAt(curves[i], t);
  // Clockwise, the outside lies to the left.
  const outwards = leftOf(directionAt(curves[i], t));
  const square = hitMm(at, outwards, cutPoints(piece));
  const nearest = offRing(at, cutPoints(piece));
  // Past a corner the square line misses the allowance it starts in.
  return { at, alongMm, widthMm: square <= 2 * nearest + 1 ? square : nearest };
}

/** The ends of a run are the corner's business, over this many widths. */
const CORNER_WIDTHS = 2.5;

function inner({ stations, lengthMm }: AllowanceRun): Station[] {
  const widths = stations.map(({ widthMm }) => widthMm).sort((a, b) => a - b);
  const cornerMm = CORNER_WIDTHS * Math.min(widths[Math.floor(widths.length / 2)], 20);
  return stations.filter(({ alongMm }) => alongMm >= cornerMm && alongMm <= lengthMm - cornerMm);
}

function narrow(piece: ForeignPiece, run: AllowanceRun, { allowance }: CheckSettings): Found[] {
  const stations = inner(run);
  if (stations.length === 0) return [];
  const least = stations.reduce((best, each) => (each.widthMm < best.widthMm ? each : best));
  // A seam cut without any allowance is meant to be.
  const widest = Math.max(...stations.map(({ widthMm }) => widthMm));
  if (least.widthMm >= allowance.leastMm || widest < 0.5) return [];
  return [
    {
      code: 'ALLOWANCE_NARROW',
      level: 'warning',
      message: `The allowance of ${piece.name} is only ${inMm(least.widthMm)} wide at ${run.part === 'allowance' ? 'one place' : `the ${run.part}`}.`,
      action: 'Widen it, or the seam will pull out.',
      place: { piece: piece.block, part: run.part, at: least.at },
      numbers: { widthMm: least.widthMm, widestMm: widest },
      tolerance: { value: allowance.leastMm, unit: 'mm' },
      basis: PRACTICE,
    },
  ];
}

function uneven(piece: ForeignPiece, run: AllowanceRun, { allowance }: CheckSettings): Found[] {
  const stations = inner(run);
  const found = stations.map((station, i) => ({
    station,
    offMm: Math.max(...[1, 2].map((steps) => jumpMm(stations, i, steps))),
  }));
  const worst = found.reduce((most, each) => (each.offMm > most.offMm ? each : most), {
    station: stations[0],
    offMm: 0,
  });
  if (worst.offMm <= allowance.unevenMm) return [];
  return [
    {
      code: 'ALLOWANCE_UNEVEN',
      level: 'warning',
      message: `The allowance of ${piece.name} jumps by ${inMm(worst.offMm)}${run.part === 'allowance' ? '' : ` at the ${run.part}`}.`,
      action: 'Let its width change evenly along the seam.',
      place: { piece: piece.block, part: run.part, at: worst.station.at },
      numbers: { offMm: worst.offMm, widthMm: worst.station.widthMm },
      tolerance: { value: allowance.unevenMm, unit: 'mm' },
      basis: CHOICE,
    },
  ];
}

/**
 * How far the width goes, over so many steps before station `i`, beyond what the steps on either side would make it.
 *
 * An inlay that runs out evenly has a bend where it ends, but no jump: there each step lies between its neighbours'.
 * A jump may fall between two stations or, on a slope, over one. At the end of a run, with a neighbour on one side only,
 * a bend and a jump look alike, and half of the difference counts.
 */
function jumpMm(stations: readonly Station[], i: number, steps: number): number {
  const [outer, before, here, next] = [i - steps - 1, i - steps, i, i + 1].map((k) => stations[k]?.widthMm);
  if (before === undefined || here === undefined) return 0;
  const foretold = [
    ...(outer === undefined ? [] : [steps * (before - outer)]),
    ...(next === undefined ? [] : [steps * (next - here)]),
  ];
  if (foretold.length === 0) return 0;
  const mm = here - before;
  const beyondMm = Math.max(0, mm - Math.max(...foretold), Math.min(...foretold) - mm);
  return foretold.length === 1 ? beyondMm / 2 : beyondMm;
}

/** How much of the narrower allowance has to be left round a corner. */
const CORNER_SHARE = 0.6;

function cutOff(piece: ForeignPiece, before: AllowanceRun, after: AllowanceRun): Found[] {
  const [a, b] = [inner(before).at(-1)?.widthMm, inner(after)[0]?.widthMm];
  if (a === undefined || b === undefined || distance(endOfRun(before), after.start) > 0.1) return [];
  const wantedMm = CORNER_SHARE * Math.min(a, b);
  const leftMm = offRing(after.start, cutPoints(piece));
  if (leftMm >= wantedMm || Math.min(a, b) < 1) return [];
  return [
    {
      code: 'ALLOWANCE_CORNER',
      level: 'warning',
      message: `The cut line of ${piece.name} runs only ${inMm(leftMm)} from the corner of its seams, whose allowances are ${inMm(a)} and ${inMm(b)} wide.`,
      action: 'Carry both allowances out to the corner.',
      place: { piece: piece.block, part: 'corner', at: after.start },
      numbers: { leftMm, firstMm: a, secondMm: b },
      tolerance: { value: wantedMm, unit: 'mm' },
      basis: PRACTICE,
    },
  ];
}

function endOfRun({ stations }: AllowanceRun): Point {
  return stations[stations.length - 1].at;
}

/** Edges that are sewn to each other need the same allowance at the same place. */
export function checkSewnAllowances(front: Leg, back: Leg, settings: CheckSettings): Found[] {
  if (front.reading.outline.basis === 'cut line' || back.reading.outline.basis === 'cut line') return [];
  return (['inseam', 'outseam'] as const)
    .flatMap((seam) => sewnAllowance(front, back, seam, settings))
    .slice(0, SAID_MAX);
}

function sewnAllowance(front: Leg, back: Leg, seam: EdgeRole, { allowance }: CheckSettings): Found[] {
  const [a, b] = [front, back].map((leg) =>
    inner(measured(seamCurves(leg, seam), seam, inFrame(leg.reading))),
  );
  const [from, to] = [front, back].map((leg) =>
    seamCurves(leg, seam).reduce((sum, curve) => sum + quadratureLength(curve), 0),
  );
  const fromHem = (station: Station, whole: number): number =>
    seam === 'outseam' ? station.alongMm : whole - station.alongMm;
  const differences = a.flatMap((station) => {
    const mm = fromHem(station, from);
    const near = b.reduce<Station | undefined>(
      (best, each) =>
        best === undefined || Math.abs(fromHem(each, to) - mm) < Math.abs(fromHem(best, to) - mm)
          ? each
          : best,
      undefined,
    );
    return near === undefined || Math.abs(fromHem(near, to) - mm) > STEP_MM
      ? []
      : [{ station, near, mm, differenceMm: near.widthMm - station.widthMm }];
  });
  const worst = differences.reduce<(typeof differences)[number] | undefined>(
    (most, each) =>
      most === undefined || Math.abs(each.differenceMm) > Math.abs(most.differenceMm) ? each : most,
    undefined,
  );
  if (worst === undefined || Math.abs(worst.differenceMm) <= allowance.pairMm) return [];
  const piece = back.reading.outline.piece;
  return [
    {
      code: 'ALLOWANCE_DIFFERS',
      level: 'warning',
      message: `At ${inMm(worst.mm)} from the hem the allowance of the ${seam} is ${inMm(worst.near.widthMm)} wide on the back and ${inMm(worst.station.widthMm)} on the front.`,
      action: 'Give two edges that are sewn to each other the same allowance.',
      place: { piece: piece.block, part: seam, at: toFile(back.reading.frame, worst.near.at) },
      numbers: {
        frontMm: worst.station.widthMm,
        backMm: worst.near.widthMm,
        differenceMm: worst.differenceMm,
        fromHemMm: worst.mm,
      },
      tolerance: { value: allowance.pairMm, unit: 'mm' },
      basis: PRACTICE,
    },
  ];
}

/** The curves of one seam in outline order. */
export function seamCurves({ reading: { curves }, roles }: Leg, seam: EdgeRole): Curve[] {
  const start = roles.findIndex(
    (role, i) => role === seam && roles[(i + roles.length - 1) % roles.length] !== seam,
  );
  return curves
    .map((_, i) => (start + i) % curves.length)
    .filter((i) => roles[i] === seam)
    .map((i) => curves[i]);
}

/** The piece with its cut line as it stands in the frame of the leg. */
function inFrame({ outline, frame }: LegReading): ForeignPiece {
  const { piece } = outline;
  if (piece.boundary === undefined) return piece;
  const points = piece.boundary.points.map((p) => toFrame(frame, p));
  return { ...piece, boundary: { ...piece.boundary, points } };
}
