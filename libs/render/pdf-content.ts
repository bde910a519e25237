import type { Curve, Point } from '#geometry';
import { decimalText } from '#interchange';
import type { Ink, Layer, Mark, PathMark, Sheet, Stroke, TextMark } from '#sheets';

/** Device greys; black and grey as the SVG has them. */
const INK_GREYS: Readonly<Record<Ink, string>> = {
  black: '0',
  grey: decimalText(0x6b / 0xff),
  pale: decimalText(0xc4 / 0xff),
  white: '1',
};

/** How a page's text is written: by a font's own numbers for its glyphs, or by whoever can shape it. */
export interface TextWriter {
  /** The operators that show a text with its start at the origin of the text matrix `a b c d x y Tm`. */
  write(mark: TextMark, matrix: string): string;
}

/**
 * The operators that draw a sheet, in millimetres from the lower left corner of the page.
 *
 * Shape     each layer between the marks of its optional content group; `groupName` gives the name of its properties.
 * Accuracy  coordinates are written to 1e-4 mm.
 */
export function pageContent(
  { layers }: Sheet,
  groupName: (layer: Layer) => string,
  texts: TextWriter,
): string {
  return layers
    .map((layer) => `/OC /${groupName(layer)} BDC\nq\n${layerContent(layer, texts)}Q\nEMC\n`)
    .join('');
}

function layerContent({ clip, marks }: Layer, texts: TextWriter): string {
  const state = new PenState();
  const content: string[] = [];
  if (clip !== undefined) {
    const { left, bottom, right, top } = clip;
    content.push(`${[left, bottom, right - left, top - bottom].map(decimalText).join(' ')} re W n\n`);
  }
  for (const mark of marks) content.push(markContent(mark, state, texts));
  return content.join('');
}

/** What the viewer's pen is set to; only what differs is written. */
class PenState {
  private widthMm: number | undefined;
  private strokeInk: Ink | undefined = 'black';
  private fillInk: Ink | undefined = 'black';
  private dash = '';

  stroke({ widthMm, ink, dashMm }: Stroke): string {
    const dash = (dashMm ?? []).map(decimalText).join(' ');
    const width = widthMm === this.widthMm ? '' : `${decimalText(widthMm)} w\n`;
    const colour = ink === this.strokeInk ? '' : `${INK_GREYS[ink]} G\n`;
    const pattern = dash === this.dash ? '' : `[${dash}] 0 d\n`;
    this.widthMm = widthMm;
    this.strokeInk = ink;
    this.dash = dash;
    return width + colour + pattern;
  }

  fill(ink: Ink): string {
    const colour = ink === this.fillInk ? '' : `${INK_GREYS[ink]} g\n`;
    this.fillInk = ink;
    return colour;
  }
}

function markContent(mark: Mark, state: PenState, texts: TextWriter): string {
  return mark.kind === 'text' ? textContent(mark, state, texts) : pathContent(mark, state);
}

function pathContent({ curves, stroke, fill }: PathMark, state: PenState): string {
  const pen = stroke === undefined ? '' : state.stroke(stroke);
  const colour = fill === undefined ? '' : state.fill(fill);
  const paint = stroke === undefined ? 'f' : fill === undefined ? 'S' : 'B';
  return `${pen}${colour}${tracedPath(curves)}${paint}\n`;
}

/** Lifted where two curves do not join, closed where a run returns to its start. */
function tracedPath(curves: readonly Curve[]): string {
  let path = '';
  let start: Point | undefined;
  let end: Point | undefined;
  for (const curve of curves) {
    if (end === undefined || curve.p0.x !== end.x || curve.p0.y !== end.y) {
      path += `${written(curve.p0)} m\n`;
      start = curve.p0;
    }
    path +=
      curve.kind === 'line'
        ? `${written(curve.p1)} l\n`
        : `${written(curve.p1)} ${written(curve.p2)} ${written(curve.p3)} c\n`;
    end = curve.kind === 'line' ? curve.p1 : curve.p3;
    if (start !== undefined && end.x === start.x && end.y === start.y) {
      path += 'h\n';
      end = undefined;
    }
  }
  return path;
}

const ANCHOR_SHIFT = { start: 0, middle: -0.5, end: -1 } as const;

function textContent(mark: TextMark, state: PenState, texts: TextWriter): string {
  const cos = Math.cos(mark.angleRad);
  const sin = Math.sin(mark.angleRad);
  const shift = ANCHOR_SHIFT[mark.anchor] * mark.widthMm;
  const at = written({ x: mark.at.x + shift * cos, y: mark.at.y + shift * sin });
  const turn = [cos, sin, -sin, cos].map((part) => String(Math.round(part * 1e9) / 1e9 + 0));
  return state.fill(mark.ink) + texts.write(mark, `${turn.join(' ')} ${at}`);
}

function written({ x, y }: Point): string {
  return `${decimalText(x)} ${decimalText(y)}`;
}
