import {
  along,
  at,
  cubic,
  DEG,
  distance,
  leftOf,
  lerp,
  turnAbout,
  type CubicBezier,
  type Point,
} from '#geometry';
import type { PieceRole } from '#pattern';
import { INDEX, type DartCounts } from './parameters.js';
import type { Frame, Skeleton } from './skeleton.js';

export interface DartShape {
  readonly apex: Point;
  /** Angle between the legs. */
  readonly angleRad: number;
  /** Direction of the closed dart from the apex upwards, with all darts nearer the centre closed. */
  readonly ray: Point;
  /** The apex with all darts nearer the centre closed. */
  readonly closedApex: Point;
}

/** Position along the waist from the centre, and length against the depth from waist to hip. */
interface DartPlace {
  readonly share: number;
  readonly depthShare: number;
}

/** Where darts sit; common practice, no source. With two back darts the one nearer the side is 15 % shorter. */
function dartPlaces(role: PieceRole, darts: DartCounts): readonly DartPlace[] {
  if (role === 'front') return darts.front === 1 ? [{ share: 0.5, depthShare: 0.5 }] : [];
  if (darts.back === 0) return [];
  if (darts.back === 1) return [{ share: 0.5, depthShare: 0.68 }];
  return [
    { share: 0.36, depthShare: 0.68 },
    { share: 0.68, depthShare: 0.85 * 0.68 },
  ];
}

/** The waist drawn as it is sewn, every dart closed, and the darts that lie in it. */
export function waistAndDarts(
  p: Float64Array,
  frame: Frame,
  skeleton: Skeleton,
  topLean: number,
): { readonly closedWaist: CubicBezier; readonly darts: readonly DartShape[] } {
  const { role, names, centreWaist, sideWaist, centreUp } = skeleton;
  const places = dartPlaces(role, frame.darts);
  const depthMm = frame.targets.waistLevelMm - frame.hipLevelMm;
  const centreLean = -p[INDEX[names.lean]] * DEG;
  const darts: DartShape[] = [];
  let turnedRad = 0;
  let side = sideWaist;
  for (const place of places) {
    const lengthMm = place.depthShare * depthMm;
    const axisLean = centreLean + (topLean - centreLean) * place.share;
    const apex = along(
      lerp(centreWaist, sideWaist, place.share),
      at(Math.sin(axisLean), Math.cos(axisLean)),
      -lengthMm,
    );
    const angleRad = 2 * Math.asin(p[INDEX[names.dart]] / places.length / (2 * lengthMm));
    const closedApex = darts.reduce(
      (point, closed) => turnAbout(point, closed.closedApex, -closed.angleRad),
      apex,
    );
    const rayLean = axisLean + turnedRad + angleRad / 2;
    darts.push({ apex, angleRad, closedApex, ray: at(Math.sin(rayLean), Math.cos(rayLean)) });
    side = turnAbout(side, closedApex, -angleRad);
    turnedRad += angleRad;
  }
  // A turn about one closed apex after another; the side corner turns with the last.
  const split = (role === 'back' ? 1 : -1) * p[INDEX.sideCornerSplit] * DEG;
  const sideLean = topLean + turnedRad;
  const sideDown = at(-Math.sin(sideLean), -Math.cos(sideLean));
  const fromSide = turnAbout(sideDown, at(0, 0), Math.PI / 2 + split);
  const third = distance(centreWaist, side) / 3;
  const closedWaist = cubic(
    side,
    along(side, fromSide, third),
    along(centreWaist, leftOf(centreUp), third),
    centreWaist,
  );
  return { closedWaist, darts };
}
