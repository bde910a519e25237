import { DxfWriter, point3d } from '@tarikjabiri/dxf';
import Drawing from 'dxf-writer';
import type { CutPiece } from '#finishing';
import { DEG, endOf, flatten, pointAt, startOf, type Curve, type Point } from '#geometry';

/** A piece as plain numbers, for any library to draw. */
export interface DrawnPiece {
  readonly block: string;
  readonly texts: readonly string[];
  /** Where it is laid on the sheet, so that pieces without blocks lie apart. */
  readonly dx: number;
  readonly cut: DrawnRing;
  readonly sew: DrawnRing;
  readonly notches: readonly (readonly [x: number, y: number, depthMm: number, angleDeg: number])[];
  readonly grain: readonly [readonly [number, number], readonly [number, number]];
}

export interface DrawnRing {
  readonly curves: readonly Curve[];
  readonly points: readonly (readonly [number, number])[];
  /** x, y and bulge: arcs through the middle of each short stretch of curve. */
  readonly arcs: readonly (readonly [number, number, number])[];
}

export function drawnPieces(pieces: readonly CutPiece[]): DrawnPiece[] {
  return pieces.map((piece, i) => ({
    block: piece.id.toUpperCase(),
    texts: [`Piece Name:${piece.name}`, `Quantity:${piece.quantity.asDrawn},${piece.quantity.mirrored}`],
    dx: 2000 * i,
    cut: ringOf(
      piece.cut.map(({ at }, k): Curve => ({
        kind: 'line',
        p0: at,
        p1: piece.cut[(k + 1) % piece.cut.length].at,
      })),
    ),
    sew: ringOf(sewnCurves(piece)),
    notches: piece.notches.map(({ at, depthMm, inwards }) => [
      at.x,
      at.y,
      depthMm,
      Math.atan2(inwards.y, inwards.x) / DEG,
    ]),
    grain: [pair(piece.grain[0]), pair(piece.grain[1])],
  }));
}

function sewnCurves({ runs, darts }: CutPiece): Curve[] {
  return runs.flatMap(({ curves }, i) => {
    const end = endOf(curves[curves.length - 1]);
    const next = startOf(runs[(i + 1) % runs.length].curves[0]);
    if (Math.hypot(end.x - next.x, end.y - next.y) < 0.001) return [...curves];
    return [
      ...curves,
      ...(darts.find(([leg]) => Math.hypot(startOf(leg).x - end.x, startOf(leg).y - end.y) < 0.001) ?? []),
    ];
  });
}

/** Stretches of a curve over which an arc through three of its points is as good as the curve. */
const ARCS_A_CURVE = 24;

function ringOf(curves: readonly Curve[]): DrawnRing {
  return {
    curves,
    points: curves.flatMap((curve) => flatten(curve, 0.003).slice(0, -1).map(pair)),
    arcs: curves.flatMap((curve) => {
      if (curve.kind === 'line') return [[curve.p0.x, curve.p0.y, 0] as const];
      return Array.from({ length: ARCS_A_CURVE }, (_, k) => {
        const [a, m, b] = [k, k + 0.5, k + 1].map((step) => pointAt(curve, step / ARCS_A_CURVE));
        const chord = { x: b.x - a.x, y: b.y - a.y };
        const length = Math.hypot(chord.x, chord.y);
        // The rise of the arc over its chord, to the right for a turn to the left.
        const rise = (chord.y * (m.x - (a.x + b.x) / 2) - chord.x * (m.y - (a.y + b.y) / 2)) / length;
        return [a.x, a.y, (2 * rise) / length] as const;
      });
    }),
  };
}

function pair({ x, y }: Point): [number, number] {
  return [x, y];
}

/** Ways to draw one ring. */
export const WAYS = ['polylines', 'polylines of arcs', 'splines', 'arcs and lines', 'lines'] as const;
export type Way = (typeof WAYS)[number];

/** What a library draws with; each on a layer, all of it moved aside by `dx`. */
interface Pen {
  line(from: Point, to: Point): void;
  /** From one angle to the other, counter-clockwise. */
  arc(centre: Point, radius: number, fromDeg: number, toDeg: number): void;
  closed(corners: readonly (readonly [x: number, y: number, bulge: number])[]): void;
  spline(controls: readonly Point[]): void;
}

function drawRing(pen: Pen, { curves, points, arcs }: DrawnRing, way: Way): void {
  const at = ([x, y]: readonly number[]): Point => ({ x, y });
  switch (way) {
    case 'polylines':
      return pen.closed(points.map(([x, y]) => [x, y, 0]));
    case 'polylines of arcs':
      return pen.closed(arcs);
    case 'lines':
      for (const [i, p] of points.entries()) pen.line(at(p), at(points[(i + 1) % points.length]));
      return;
    case 'splines':
      for (const curve of curves)
        if (curve.kind === 'line') pen.line(curve.p0, curve.p1);
        else pen.spline([curve.p0, curve.p1, curve.p2, curve.p3]);
      return;
    case 'arcs and lines':
      for (const [i, p] of arcs.entries()) drawArc(pen, at(p), at(arcs[(i + 1) % arcs.length]), p[2]);
  }
}

function drawArc(pen: Pen, from: Point, to: Point, bulge: number): void {
  if (Math.abs(bulge) < 1e-5) return pen.line(from, to);
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const radius = (length * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
  const lift = (1 - bulge * bulge) / (4 * bulge);
  const centre = {
    x: (from.x + to.x) / 2 - (to.y - from.y) * lift,
    y: (from.y + to.y) / 2 + (to.x - from.x) * lift,
  };
  const angle = ({ x, y }: Point): number => (Math.atan2(y - centre.y, x - centre.x) / DEG + 360) % 360;
  const [start, end] = bulge > 0 ? [from, to] : [to, from];
  pen.arc(centre, radius, angle(start), angle(end));
}

/** By @tarikjabiri/dxf, without blocks. */
export function byDxf(pieces: readonly DrawnPiece[], way: Way): string {
  const dxf = new DxfWriter();
  for (const layer of ['1', '4', '7', '14']) dxf.addLayer(layer, 7, 'Continuous');
  for (const { dx, cut, sew, grain, texts, notches } of pieces) {
    const at = ({ x, y }: Point) => point3d(x + dx, y);
    const penOn = (layerName: string): Pen => ({
      line: (from, to) => void dxf.addLine(at(from), at(to), { layerName }),
      arc: (centre, radius, from, to) => void dxf.addArc(at(centre), radius, from, to, { layerName }),
      closed: (corners) =>
        void dxf.addLWPolyline(
          corners.map(([x, y, bulge]) => ({ point: { x: x + dx, y }, bulge })),
          { layerName, flags: 1 },
        ),
      spline: (controls) =>
        void dxf.addSpline(
          { controlPoints: controls.map(at), degreeCurve: 3, knots: [0, 0, 0, 0, 1, 1, 1, 1] },
          { layerName },
        ),
    });
    for (const [i, text] of texts.entries())
      dxf.addText(point3d(grain[0][0] + dx, grain[0][1] - 10 * i), 5, text, { layerName: '1' });
    penOn('7').line({ x: grain[0][0], y: grain[0][1] }, { x: grain[1][0], y: grain[1][1] });
    for (const [x, y, depth] of notches) dxf.addPoint(x + dx, y, depth, { layerName: '4' });
    drawRing(penOn('1'), cut, way);
    drawRing(penOn('14'), sew, way);
  }
  dxf.addText(point3d(0, -100), 5, 'Units:METRIC', { layerName: '1' });
  return dxf.stringify();
}

/** What dxf-writer has and its types do not: bulges of polylines, and splines. */
interface UntypedDrawing {
  drawPolyline(
    corners: readonly (readonly [x: number, y: number, bulge: number])[],
    closed: boolean,
  ): unknown;
  drawSpline(
    controls: readonly (readonly [x: number, y: number, z: number])[],
    degree: number,
    knots: readonly number[],
  ): unknown;
}

/** By dxf-writer, notches as single lines, without blocks. */
export function byWriter(pieces: readonly DrawnPiece[], way: Way): string {
  const drawing = new Drawing() as Drawing & UntypedDrawing;
  for (const layer of ['1', '4', '7', '14']) drawing.addLayer(layer, Drawing.ACI.WHITE, 'CONTINUOUS');
  for (const { dx, cut, sew, grain, texts, notches } of pieces) {
    const pen: Pen = {
      line: (from, to) => void drawing.drawLine(from.x + dx, from.y, to.x + dx, to.y),
      arc: (centre, radius, from, to) => void drawing.drawArc(centre.x + dx, centre.y, radius, from, to),
      closed: (corners) =>
        void drawing.drawPolyline(
          corners.map(([x, y, bulge]) => [x + dx, y, bulge]),
          true,
        ),
      spline: (controls) =>
        void drawing.drawSpline(
          controls.map(({ x, y }) => [x + dx, y, 0]),
          3,
          [0, 0, 0, 0, 1, 1, 1, 1],
        ),
    };
    for (const [layer, ring] of [
      ['1', cut],
      ['14', sew],
    ] as const) {
      drawing.setActiveLayer(layer);
      drawRing(pen, ring, way);
    }
    drawing.setActiveLayer('4');
    for (const [x, y, depth, angle] of notches)
      pen.line({ x, y }, { x: x + depth * Math.cos(angle * DEG), y: y + depth * Math.sin(angle * DEG) });
    drawing.setActiveLayer('7');
    pen.line({ x: grain[0][0], y: grain[0][1] }, { x: grain[1][0], y: grain[1][1] });
    drawing.setActiveLayer('1');
    for (const [i, text] of texts.entries())
      drawing.drawText(grain[0][0] + dx, grain[0][1] - 10 * i, 5, 0, text);
  }
  drawing.drawText(0, -100, 5, 0, 'Units:METRIC');
  return drawing.toDxfString();
}
