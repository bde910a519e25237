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

/** Splines for curves, lines for lines, no blocks. */
export function withSplines(pieces: readonly DrawnPiece[]): string {
  return withDxf(pieces, (dxf, { sew, cut, dx }) => {
    dxf.addLWPolyline(
      cut.points.map(([x, y]) => ({ point: { x: x + dx, y } })),
      { layerName: '1', flags: 1 },
    );
    for (const curve of sew.curves) {
      const at = ({ x, y }: Point) => point3d(x + dx, y);
      if (curve.kind === 'line') dxf.addLine(at(curve.p0), at(curve.p1), { layerName: '14' });
      else
        dxf.addSpline(
          {
            controlPoints: [curve.p0, curve.p1, curve.p2, curve.p3].map(at),
            degreeCurve: 3,
            knots: [0, 0, 0, 0, 1, 1, 1, 1],
          },
          { layerName: '14' },
        );
    }
  });
}

/** Single lines and arcs, no blocks. */
export function withArcs(pieces: readonly DrawnPiece[]): string {
  return withDxf(pieces, (dxf, { sew, cut, dx }) => {
    for (const [layerName, { arcs }] of [
      ['1', cut],
      ['14', sew],
    ] as const)
      for (const [i, [x, y, bulge]] of arcs.entries()) {
        const [nx, ny] = arcs[(i + 1) % arcs.length];
        const length = Math.hypot(nx - x, ny - y);
        if (Math.abs(bulge) < 1e-5) {
          dxf.addLine(point3d(x + dx, y), point3d(nx + dx, ny), { layerName });
          continue;
        }
        const radius = (length * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
        const lift = (1 - bulge * bulge) / (4 * bulge);
        const centre = { x: (x + nx) / 2 - (ny - y) * lift, y: (y + ny) / 2 + (nx - x) * lift };
        const angle = (px: number, py: number) => Math.atan2(py - centre.y, px - centre.x) / DEG;
        const [from, to] = bulge > 0 ? [angle(x, y), angle(nx, ny)] : [angle(nx, ny), angle(x, y)];
        dxf.addArc(point3d(centre.x + dx, centre.y), radius, (from + 360) % 360, (to + 360) % 360, {
          layerName,
        });
      }
  });
}

function withDxf(pieces: readonly DrawnPiece[], draw: (dxf: DxfWriter, piece: DrawnPiece) => void): string {
  const dxf = new DxfWriter();
  for (const layer of ['1', '4', '7', '14']) dxf.addLayer(layer, 7, 'Continuous');
  for (const piece of pieces) {
    const { dx, grain, texts, notches } = piece;
    for (const [i, text] of texts.entries())
      dxf.addText(point3d(grain[0][0] + dx, grain[0][1] - 10 * i), 5, text, { layerName: '1' });
    dxf.addLine(point3d(grain[0][0] + dx, grain[0][1]), point3d(grain[1][0] + dx, grain[1][1]), {
      layerName: '7',
    });
    for (const [x, y, depth] of notches) dxf.addPoint(x + dx, y, depth, { layerName: '4' });
    draw(dxf, piece);
  }
  dxf.addText(point3d(0, -100), 5, 'Units:METRIC', { layerName: '1' });
  return dxf.stringify();
}

/** Nothing but single lines, notches too, no blocks. */
export function withLines(pieces: readonly DrawnPiece[]): string {
  const drawing = new Drawing();
  for (const layer of ['1', '4', '7', '14']) drawing.addLayer(layer, Drawing.ACI.WHITE, 'CONTINUOUS');
  for (const { dx, cut, sew, grain, texts, notches } of pieces) {
    for (const [layer, { points }] of [
      ['1', cut],
      ['14', sew],
    ] as const) {
      drawing.setActiveLayer(layer);
      for (const [i, [x, y]] of points.entries()) {
        const [nx, ny] = points[(i + 1) % points.length];
        drawing.drawLine(x + dx, y, nx + dx, ny);
      }
    }
    drawing.setActiveLayer('4');
    for (const [x, y, depth, angle] of notches)
      drawing.drawLine(x + dx, y, x + dx + depth * Math.cos(angle * DEG), y + depth * Math.sin(angle * DEG));
    drawing.setActiveLayer('7');
    drawing.drawLine(grain[0][0] + dx, grain[0][1], grain[1][0] + dx, grain[1][1]);
    drawing.setActiveLayer('1');
    for (const [i, text] of texts.entries())
      drawing.drawText(grain[0][0] + dx, grain[0][1] - 10 * i, 5, 0, text);
  }
  drawing.drawText(0, -100, 5, 0, 'Units:METRIC');
  return drawing.toDxfString();
}
