import { endOf, ringContains, startOf, type Point } from '#geometry';
import type { CutPiece } from '#finishing';
import { boxMeetsLine, boxOfChord, boxOfText, type Box } from './box.js';
import type { CutContent } from './cut-content.js';
import { CUT_LAYERS, drawCutPiece, type CutLayer } from './cut-piece-drawing.js';
import { movedMark, type Layer, type Mark } from './display-list.js';
import { placedPoint, type LaidShape, type Turn } from './lay-shapes.js';
import { Page } from './page.js';
import type { TextWidths } from './text-widths.js';

export interface PlacedPiece {
  readonly piece: CutPiece;
  readonly place: Pick<LaidShape, 'turn' | 'move'>;
}

/**
 * Draw pieces on a page, each as if it lay there alone where its words keep within its cut line: neighbours have no say
 * then. Where any piece has words beside it, all are drawn one after the other, so that these find room between them.
 */
export function drawCutPieces(
  page: Page<CutLayer>,
  placed: readonly PlacedPiece[],
  content: CutContent,
): void {
  const drawings = placed.map(({ piece, place }) => drawingOf(piece, place.turn, content, page.widths));
  if (!drawings.every(({ standsAlone }) => standsAlone)) {
    for (const { piece, place } of placed) drawCutPiece(page, piece, content, (p) => placedPoint(p, place));
    return;
  }
  for (const [i, { layers }] of drawings.entries()) {
    const by = placed[i].place.move;
    const move = ({ x, y }: Point): Point => ({ x: x + by.x, y: y + by.y });
    for (const { id, marks } of layers)
      page.draw(
        id,
        marks.map((mark) => movedMark(mark, move)),
      );
  }
}

/** A piece as it is drawn turned about the origin of its frame, and not moved. */
interface PieceDrawing {
  readonly layers: readonly Layer<CutLayer>[];
  /** Whether its words lie within its cut line. */
  readonly standsAlone: boolean;
}

interface Drawings {
  readonly widths: TextWidths;
  readonly byPiece: Map<CutPiece, Partial<Record<Turn, PieceDrawing>>>;
}

/** A pattern goes on up to six papers, and a piece looks the same on all of them that it is turned alike on. */
const knownDrawings = new WeakMap<CutContent, Drawings>();

function drawingOf(piece: CutPiece, turn: Turn, content: CutContent, widths: TextWidths): PieceDrawing {
  let known = knownDrawings.get(content);
  if (known?.widths !== widths) knownDrawings.set(content, (known = { widths, byPiece: new Map() }));
  const turned = known.byPiece.get(piece) ?? {};
  known.byPiece.set(piece, turned);
  return (turned[turn] ??= drawnAlone(piece, turn, content, widths));
}

const ENDLESS = { left: -Infinity, bottom: -Infinity, right: Infinity, top: Infinity };
const UNMOVED = { x: 0, y: 0 };

function drawnAlone(piece: CutPiece, turn: Turn, content: CutContent, widths: TextWidths): PieceDrawing {
  const page = new Page<CutLayer>(ENDLESS, CUT_LAYERS, widths);
  const turned = (p: Point): Point => placedPoint(p, { turn, move: UNMOVED });
  drawCutPiece(page, piece, content, turned);
  const layers = page.layers().filter(({ marks }) => marks.length > 0);
  const ring = piece.cut.map(({ at }) => turned(at));
  const labels = layers.filter(({ id }) => id === 'labels').flatMap(({ marks }) => marks);
  return { layers, standsAlone: labels.flatMap(boxesOf).every((box) => isWithinRing(box, ring)) };
}

/** What a text covers, or each line of a leader. */
function boxesOf(mark: Mark): Box[] {
  if (mark.kind === 'text') return [boxOfText(mark)];
  return mark.curves.map((curve) => boxOfChord(startOf(curve), endOf(curve)));
}

function isWithinRing(box: Box, ring: readonly Point[]): boolean {
  return (
    ringContains(ring, box.centre) && !ring.some((p, i) => boxMeetsLine(box, p, ring[(i + 1) % ring.length]))
  );
}
