import { turnAbout, type Point } from '#geometry';
import type { ForeignLine, ForeignPiece, ForeignPoint } from '#interchange';
import type { Leg } from './leg-block.js';
import { toFrame } from './leg-frame.js';
import { footOn, type Foot } from './seam-outline.js';

/** One point of a file that goes somewhere else. */
export interface Edit {
  readonly piece: ForeignPiece;
  readonly point: ForeignPoint;
  /** In the frame of the piece, in mm. */
  readonly by: Point;
}

/** Moves shorter than this are rounding. */
const MOVED_MM = 1e-4;

/**
 * Every point of a leg that goes with its seams: cut line, sew line, turn and curve points, notches. Each goes as the
 * place on the seam does that lies nearest to it, so that allowances keep their width.
 */
export function editsFor(leg: Leg, displaced: (foot: Foot) => Point): Edit[] {
  const { outline, frame, curves } = leg.reading;
  const { piece } = outline;
  const moves = new Map<string, Point>();
  const move = (p: Point): Point => {
    const key = placeKey(p);
    const known = moves.get(key);
    if (known !== undefined) return known;
    const by = inFile(leg, displaced(footOn(curves, toFrame(frame, p))));
    moves.set(key, by);
    return by;
  };
  const lines = linesThatMove(piece);
  const points = [...lines.flatMap(everyPoint), ...piece.turnPoints, ...piece.curvePoints];
  const onLines = new Set(lines.flatMap((line) => everyPoint(line).map(placeKey)));
  const inner = new Set(piece.internalLines.flatMap((line) => everyPoint(line).map(placeKey)));
  const followers = points.filter((p) => onLines.has(placeKey(p)) || !inner.has(placeKey(p)));
  return [
    ...followers.map((point) => ({ piece, point, by: move(point) })),
    // A notch goes with the seam it marks, which at a corner need not be the nearest.
    ...leg.notches.map(({ notch, foot }) => ({ piece, point: notch.at, by: inFile(leg, displaced(foot)) })),
  ].filter(({ by }) => Math.hypot(by.x, by.y) > MOVED_MM);
}

/** Whether the points of a leg stand in the file as they are: those of arcs, splines and folds are computed. */
export function isDrawnByPoints({ reading: { outline } }: Leg): boolean {
  return linesThatMove(outline.piece).every((line) =>
    everyPoint(line).every(({ source }) => source !== undefined),
  );
}

function linesThatMove({ boundary, sewLines, validation }: ForeignPiece): ForeignLine[] {
  return [
    ...(boundary === undefined ? [] : [boundary]),
    ...sewLines,
    ...validation.filter(({ layer }) => layer === 84 || layer === 87),
  ];
}

function everyPoint({ points, repeats, doubled }: ForeignLine): ForeignPoint[] {
  return [...points, ...repeats, ...doubled];
}

function placeKey({ x, y }: Point): string {
  return `${x} ${y}`;
}

/** A move in the frame of a leg as one in the frame of its file. */
function inFile({ reading: { frame } }: Leg, by: Point): Point {
  const turned = { x: frame.mirrored ? -by.x : by.x, y: by.y };
  return frame.angleRad === 0 ? turned : turnAbout(turned, { x: 0, y: 0 }, -frame.angleRad);
}

const DECIMALS_MIN = 2;

/** The text with moved coordinates: only the lines that hold them change. */
export function withCoordinates(text: string, edits: readonly Edit[]): string {
  const byLine = new Map<number, number>();
  for (const { point, by } of edits) {
    if (point.source === undefined) continue;
    const { xLine, yLine, toFile } = point.source;
    byLine.set(xLine, toFile[0] * by.x + toFile[1] * by.y);
    byLine.set(yLine, toFile[2] * by.x + toFile[3] * by.y);
  }
  let line = 0;
  return text.replace(/[^\r\n]*(?:\r\n|\n|\r|$)/g, (whole) => {
    line += 1;
    const by = byLine.get(line);
    if (by === undefined) return whole;
    const value = whole.replace(/[\r\n]+$/, '');
    return `${written(value, by)}${whole.slice(value.length)}`;
  });
}

function written(value: string, by: number): string {
  const decimals = Math.max(DECIMALS_MIN, /\.(\d+)/.exec(value)?.[1].length ?? 0);
  const moved = (Number(value) + by).toFixed(Math.min(decimals, 12));
  return Number(moved) === 0 ? moved.replace('-', '') : moved;
}
