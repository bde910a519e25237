import { DEG, type Point } from '#geometry';
import { numberOf, pairOf, textOf, valueOf, type Entity } from './dxf-entities.js';
import type { DxfLog } from './dxf-log.js';
import type { CoordinateSource, ForeignPoint } from './foreign-pattern.js';

/** How points of the file become points of a piece: x' = a x + c y + e, y' = b x + d y + f. Holds the unit. */
export interface Placement {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly d: number;
  readonly e: number;
  readonly f: number;
}

/** One entity as a chain of points. */
export interface Stroke {
  readonly kind: string;
  readonly line: number;
  readonly points: readonly ForeignPoint[];
  readonly closed: boolean;
}

/** Arcs and splines become chords this near to them, a tenth of what a curve may be drawn anew by. */
const CHORD_MM = 0.005;
/** A full turn of 10 m radius needs 100,000 chords; no pattern has one. */
const CHORDS_MAX = 4000;

export function scaled(mm: number): Placement {
  return { a: mm, b: 0, c: 0, d: mm, e: 0, f: 0 };
}

export function placedPoint({ a, b, c, d, e, f }: Placement, { x, y }: Point): Point {
  return { x: a * x + c * y + e, y: b * x + d * y + f };
}

/** First `inner`, then `outer`. */
export function placedWithin(outer: Placement, inner: Placement): Placement {
  const origin = placedPoint(outer, { x: inner.e, y: inner.f });
  return {
    a: outer.a * inner.a + outer.c * inner.b,
    b: outer.b * inner.a + outer.d * inner.b,
    c: outer.a * inner.c + outer.c * inner.d,
    d: outer.b * inner.c + outer.d * inner.d,
    e: origin.x,
    f: origin.y,
  };
}

export function scaleOf({ a, b, c, d }: Placement): number {
  return Math.sqrt(Math.abs(a * d - b * c));
}

/** The point that codes `x` and `x + 10` of an entity give; undefined where one is missing or no number. */
export function pointOf(
  entity: Entity,
  x: number,
  placement: Placement,
  log: DxfLog,
): ForeignPoint | undefined {
  const xPair = pairOf(entity, x);
  const yPair = pairOf(entity, x + 10);
  if (xPair === undefined || yPair === undefined) {
    log.problem({
      code: 'DXF_NO_PLACE',
      line: entity.line,
      found: `a ${entity.kind} without group ${xPair === undefined ? x : x + 10}`,
      allowed: `groups ${x} and ${x + 10}`,
      message: `The ${entity.kind} at line ${entity.line} has no ${xPair === undefined ? 'x' : 'y'}.`,
      action: 'Write the entity again.',
    });
    return undefined;
  }
  return sourced(
    valueOf(xPair, entity.kind, log),
    valueOf(yPair, entity.kind, log),
    xPair.line,
    yPair.line,
    placement,
  );
}

function sourced(
  x: number,
  y: number,
  xLine: number,
  yLine: number,
  placement: Placement,
): ForeignPoint | undefined {
  if (!Number.isFinite(x) || !Number.isFinite(y)) return undefined;
  const { x: atX, y: atY } = placedPoint(placement, { x, y });
  return { x: atX, y: atY, source: { xLine, yLine, toFile: toFileOf(placement) } };
}

/** One for all the points of a placement: each with its own, they would be half of what a file takes of memory. */
const toFileByPlacement = new WeakMap<Placement, CoordinateSource['toFile']>();

function toFileOf(placement: Placement): CoordinateSource['toFile'] {
  const known = toFileByPlacement.get(placement);
  if (known !== undefined) return known;
  const { a, b, c, d } = placement;
  const determinant = a * d - b * c;
  const toFile = [d / determinant, -c / determinant, -b / determinant, a / determinant] as const;
  toFileByPlacement.set(placement, toFile);
  return toFile;
}

const DRAWN: Readonly<
  Record<string, (entity: Entity, placement: Placement, log: DxfLog) => Stroke | undefined>
> = {
  LINE: lineStroke,
  POLYLINE: polylineStroke,
  LWPOLYLINE: lightStroke,
  ARC: arcStroke,
  CIRCLE: arcStroke,
  ELLIPSE: ellipseStroke,
  SPLINE: splineStroke,
};

export function isDrawn({ kind }: Entity): boolean {
  return kind in DRAWN;
}

/** The chain of points an entity draws; undefined, and said, when it cannot be made out. */
export function strokeOf(entity: Entity, placement: Placement, log: DxfLog): Stroke | undefined {
  if (numberOf(entity, 230, 1, log) < 0) {
    log.unread(
      entity.line,
      `${entity.kind} seen from below`,
      'its extrusion points downwards; draw it seen from above',
    );
    return undefined;
  }
  return DRAWN[entity.kind]?.(entity, placement, log);
}

function lineStroke(entity: Entity, placement: Placement, log: DxfLog): Stroke | undefined {
  const from = pointOf(entity, 10, placement, log);
  const to = pointOf(entity, 11, placement, log);
  if (from === undefined || to === undefined || !log.takePoints(2, entity.line)) return undefined;
  return { kind: 'LINE', line: entity.line, points: [from, to], closed: false };
}

interface Corner {
  readonly at: ForeignPoint | undefined;
  readonly bulge: number;
}

/** Flags of a POLYLINE that mark meshes and faces, and of a VERTEX that only steers a spline. */
const MESH_FLAGS = 16 | 64;
const SPLINE_FRAME_FLAG = 16;

function polylineStroke(entity: Entity, placement: Placement, log: DxfLog): Stroke | undefined {
  const flags = numberOf(entity, 70, 0, log);
  if ((flags & MESH_FLAGS) !== 0) {
    log.unread(entity.line, 'POLYLINE that is a mesh', 'a pattern is flat');
    return undefined;
  }
  const corners = entity.vertices
    .filter((vertex) => (numberOf(vertex, 70, 0, log) & SPLINE_FRAME_FLAG) === 0)
    .map((vertex): Corner => ({
      at: pointOf(vertex, 10, placement, log),
      bulge: numberOf(vertex, 42, 0, log),
    }));
  return strokeThrough('POLYLINE', entity, corners, (flags & 1) === 1, placement, log);
}

function lightStroke(entity: Entity, placement: Placement, log: DxfLog): Stroke | undefined {
  const corners: { x: number; y: number; xLine: number; yLine: number; bulge: number }[] = [];
  for (const pair of entity.pairs) {
    const last = corners.at(-1);
    if (pair.code === 10)
      corners.push({
        x: valueOf(pair, entity.kind, log),
        y: Number.NaN,
        xLine: pair.line,
        yLine: 0,
        bulge: 0,
      });
    else if (pair.code === 20 && last !== undefined) {
      last.y = valueOf(pair, entity.kind, log);
      last.yLine = pair.line;
    } else if (pair.code === 42 && last !== undefined) last.bulge = valueOf(pair, entity.kind, log);
  }
  const placed = corners.map(({ x, y, xLine, yLine, bulge }): Corner => ({
    at: sourced(x, y, xLine, yLine, placement),
    bulge,
  }));
  return strokeThrough(
    'LWPOLYLINE',
    entity,
    placed,
    (numberOf(entity, 70, 0, log) & 1) === 1,
    placement,
    log,
  );
}

function strokeThrough(
  kind: string,
  entity: Entity,
  corners: readonly Corner[],
  closed: boolean,
  placement: Placement,
  log: DxfLog,
): Stroke | undefined {
  const whole = corners.filter((corner): corner is Corner & { at: ForeignPoint } => corner.at !== undefined);
  if (whole.length < 2) {
    log.unread(entity.line, `${kind} of ${whole.length} points`, 'a line needs two');
    return undefined;
  }
  if (!log.takePoints(whole.length, entity.line)) return undefined;
  // A placement that mirrors turns a bulge to the other side.
  const hand = placement.a * placement.d - placement.b * placement.c < 0 ? -1 : 1;
  const points: ForeignPoint[] = [];
  for (const [i, { at, bulge }] of whole.entries()) {
    points.push(at);
    const next = whole[(i + 1) % whole.length].at;
    if (Math.abs(bulge) < 1e-9 || (i + 1 === whole.length && !closed)) continue;
    const bow = bulgePoints(at, next, hand * bulge);
    if (log.takePoints(bow.length, entity.line)) points.push(...bow);
  }
  return {
    kind: whole.some(({ bulge }) => bulge !== 0) ? `${kind} with arcs` : kind,
    line: entity.line,
    points,
    closed,
  };
}

/** The points between two corners on the arc that a bulge, the tangent of a quarter of its angle, stands for. */
function bulgePoints(from: Point, to: Point, bulge: number): Point[] {
  const sweep = 4 * Math.atan(bulge);
  const chord = { x: to.x - from.x, y: to.y - from.y };
  // From the chord's middle to the centre: half a chord divided by the tangent of half the angle, to the left.
  const lift = (1 - bulge * bulge) / (4 * bulge);
  const centre = { x: (from.x + to.x) / 2 - chord.y * lift, y: (from.y + to.y) / 2 + chord.x * lift };
  const radius = Math.hypot(from.x - centre.x, from.y - centre.y);
  const start = Math.atan2(from.y - centre.y, from.x - centre.x);
  const count = chordCount(radius, sweep);
  return Array.from({ length: count - 1 }, (_, i) => {
    const angle = start + (sweep * (i + 1)) / count;
    return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
  });
}

function chordCount(radiusMm: number, sweepRad: number): number {
  if (!(radiusMm > CHORD_MM)) return 4;
  const step = 2 * Math.acos(1 - CHORD_MM / radiusMm);
  return Math.min(CHORDS_MAX, Math.max(2, Math.ceil(Math.abs(sweepRad) / step)));
}

function arcStroke(entity: Entity, placement: Placement, log: DxfLog): Stroke | undefined {
  const centre = pointOf(entity, 10, scaled(1), log);
  const radius = numberOf(entity, 40, Number.NaN, log);
  if (centre === undefined || !(radius > 0)) return notDrawn(entity, 'it has no centre or no radius', log);
  const isCircle = entity.kind === 'CIRCLE';
  const start = isCircle ? 0 : numberOf(entity, 50, 0, log) * DEG;
  const end = isCircle ? 2 * Math.PI : numberOf(entity, 51, 360, log) * DEG;
  const sweep = isCircle ? end : positiveTurn(end - start);
  return sampled(entity, isCircle, chordCount(radius * scaleOf(placement), sweep), placement, log, (t) => {
    const angle = start + sweep * t;
    return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
  });
}

function ellipseStroke(entity: Entity, placement: Placement, log: DxfLog): Stroke | undefined {
  const centre = pointOf(entity, 10, scaled(1), log);
  const axis = pointOf(entity, 11, scaled(1), log);
  const ratio = numberOf(entity, 40, Number.NaN, log);
  if (centre === undefined || axis === undefined || !(ratio > 0))
    return notDrawn(entity, 'it has no axes', log);
  const start = numberOf(entity, 41, 0, log);
  const sweep = positiveTurn(numberOf(entity, 42, 2 * Math.PI, log) - start);
  const closed = sweep > 2 * Math.PI - 1e-9;
  const radiusMm = Math.hypot(axis.x, axis.y) * Math.max(1, ratio) * scaleOf(placement);
  return sampled(entity, closed, chordCount(radiusMm, sweep), placement, log, (t) => {
    const [cos, sin] = [Math.cos(start + sweep * t), ratio * Math.sin(start + sweep * t)];
    return { x: centre.x + axis.x * cos - axis.y * sin, y: centre.y + axis.y * cos + axis.x * sin };
  });
}

function positiveTurn(angleRad: number): number {
  const turn = angleRad % (2 * Math.PI);
  return turn <= 1e-12 ? turn + 2 * Math.PI : turn;
}

function notDrawn(entity: Entity, why: string, log: DxfLog): undefined {
  log.unread(entity.line, entity.kind, why);
  return undefined;
}

function sampled(
  entity: Entity,
  closed: boolean,
  count: number,
  placement: Placement,
  log: DxfLog,
  at: (t: number) => Point,
): Stroke | undefined {
  if (!log.takePoints(count + 1, entity.line)) return undefined;
  const points = Array.from({ length: closed ? count : count + 1 }, (_, i) =>
    placedPoint(placement, at(i / count)),
  );
  return { kind: entity.kind, line: entity.line, points, closed };
}

interface Spline {
  readonly degree: number;
  readonly knots: readonly number[];
  readonly controls: readonly (Point & { readonly weight: number })[];
}

function splineStroke(entity: Entity, placement: Placement, log: DxfLog): Stroke | undefined {
  const spline = splineOf(entity, log);
  const why = faultOf(spline);
  if (why !== undefined) return notDrawn(entity, why, log);
  const { degree, knots, controls } = spline;
  const points: Point[] = [];
  for (let span = degree; span < controls.length; span++) {
    const [from, to] = [knots[span], knots[span + 1]];
    if (!(to > from)) continue;
    const count = spanChords(controls.slice(span - degree, span + 1), scaleOf(placement));
    if (!log.takePoints(count, entity.line)) return undefined;
    for (let i = points.length === 0 ? 0 : 1; i <= count; i++)
      points.push(placedPoint(placement, splinePoint(spline, span, from + ((to - from) * i) / count)));
  }
  if (points.length < 2) return notDrawn(entity, 'its knots leave no curve', log);
  return { kind: 'SPLINE', line: entity.line, points, closed: (numberOf(entity, 70, 0, log) & 1) === 1 };
}

function splineOf(entity: Entity, log: DxfLog): Spline {
  const knots: number[] = [];
  const weights: number[] = [];
  const controls: { x: number; y: number }[] = [];
  for (const pair of entity.pairs) {
    if (pair.code === 40) knots.push(valueOf(pair, 'SPLINE', log));
    else if (pair.code === 41) weights.push(valueOf(pair, 'SPLINE', log));
    else if (pair.code === 10) controls.push({ x: valueOf(pair, 'SPLINE', log), y: Number.NaN });
    else if (pair.code === 20 && controls.length > 0)
      controls[controls.length - 1].y = valueOf(pair, 'SPLINE', log);
  }
  return {
    degree: numberOf(entity, 71, 3, log),
    knots,
    controls: controls.map((p, i) => ({ ...p, weight: weights[i] ?? 1 })),
  };
}

const DEGREE_MAX = 10;
const CONTROLS_MAX = 5000;

function faultOf({ degree, knots, controls }: Spline): string | undefined {
  if (controls.length === 0) return 'it has fit points only; give control points and knots';
  if (!(Number.isInteger(degree) && degree >= 1 && degree <= DEGREE_MAX))
    return `its degree is ${degree}, not 1 to ${DEGREE_MAX}`;
  if (controls.length > CONTROLS_MAX) return `it has more than ${CONTROLS_MAX} control points`;
  if (controls.length <= degree) return `it has ${controls.length} control points, too few for its degree`;
  if (knots.length !== controls.length + degree + 1)
    return `it has ${knots.length} knots instead of ${controls.length + degree + 1}`;
  if (knots.some((knot, i) => !Number.isFinite(knot) || (i > 0 && knot < knots[i - 1])))
    return 'its knots do not rise';
  if (controls.some(({ x, y, weight }) => !Number.isFinite(x + y) || !(weight > 0)))
    return 'a control point or weight is no number';
  return undefined;
}

/** As many chords as `flatten` of the geometry lib would take for the control points of one span. */
function spanChords(controls: readonly Point[], mm: number): number {
  let bend = 0;
  for (let i = 1; i + 1 < controls.length; i++) {
    const [a, b, c] = [controls[i - 1], controls[i], controls[i + 1]];
    bend = Math.max(bend, Math.hypot(a.x - 2 * b.x + c.x, a.y - 2 * b.y + c.y));
  }
  const order = controls.length - 1;
  return Math.min(
    CHORDS_MAX,
    Math.max(1, Math.ceil(Math.sqrt((order * (order - 1) * bend * mm) / (8 * CHORD_MM)))),
  );
}

/** De Boor's construction, with weights. */
function splinePoint({ degree, knots, controls }: Spline, span: number, t: number): Point {
  const work = controls
    .slice(span - degree, span + 1)
    .map(({ x, y, weight }) => ({ x: x * weight, y: y * weight, weight }));
  for (let level = 1; level <= degree; level++) {
    for (let i = degree; i >= level; i--) {
      const from = knots[span - degree + i];
      const share = (t - from) / (knots[span + 1 + i - level] - from);
      const [a, b] = [work[i - 1], work[i]];
      work[i] = {
        x: a.x + (b.x - a.x) * share,
        y: a.y + (b.y - a.y) * share,
        weight: a.weight + (b.weight - a.weight) * share,
      };
    }
  }
  const { x, y, weight } = work[degree];
  return { x: x / weight, y: y / weight };
}

/** The text of a TEXT, MTEXT or ATTRIB entity, its formatting left out. */
export function wordsOf(entity: Entity): string {
  const parts = entity.pairs.filter(({ code }) => code === 3).map(({ value }) => value);
  const text = [...parts, textOf(entity, 1)].join('');
  if (entity.kind !== 'MTEXT') return text.trim();
  return text
    .replace(/\\P/g, ' ')
    .replace(/\\[A-Za-z][^;\\]{0,80};/g, '')
    .replace(/[{}]/g, '')
    .trim();
}
