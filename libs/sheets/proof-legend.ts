import { line, type Point } from '#geometry';
import type { Bounds } from './box.js';
import { fillMark, rectangle, strokeMark, textMark, type Mark } from './display-list.js';
import { PENS, TEXT } from './pens.js';
import type { ProofLayer } from './proof-drawing.js';
import { grainMarks, moveMarks } from './signs.js';
import { textWidthMm, type TextWidths } from './text-widths.js';

/** Length of the scale bar on paper: measured with any ruler, it shows whether the sheet was printed in size. */
export const SCALE_BAR_MM = 50;

const SAMPLE_MM = 9;

interface Sample {
  readonly text: string;
  readonly layer: ProofLayer;
  readonly draw: (from: Point, to: Point) => readonly Mark[];
}

/** The strip under the drawing: scale bar, then a sample of each line that is drawn, with its meaning. */
export function layLegend(
  area: Bounds,
  scale: number,
  drawn: ReadonlySet<ProofLayer>,
  widths: TextWidths,
): Mark[] {
  const y = (area.bottom + area.top) / 2;
  const bar = scaleBarMarks({ x: area.left, y: y - 0.8 }, scale, widths);
  const samples = SAMPLES.filter((sample) => drawn.has(sample.layer));
  const wide = (sample: Sample): number => SAMPLE_MM + 1.4 + textWidthMm(sample.text, TEXT.small, widths);
  const barMm = SCALE_BAR_MM + 38;
  const total = samples.reduce((sum, sample) => sum + wide(sample), 0);
  const gap = (area.right - area.left - barMm - total) / samples.length;
  const marks: Mark[] = [...bar];
  let x = area.left + barMm;
  for (const sample of samples) {
    x += gap;
    marks.push(...sample.draw({ x, y }, { x: x + SAMPLE_MM, y }));
    marks.push(textMark(sample.text, TEXT.small, { at: { x: x + SAMPLE_MM + 1.4, y: y - 0.75 } }, widths));
    x += wide(sample);
  }
  return marks;
}

const SAMPLES: readonly Sample[] = [
  { text: 'after', layer: 'seam-lines', draw: (a, b) => [strokeMark([line(a, b)], PENS.seam)] },
  { text: 'before', layer: 'before', draw: (a, b) => [strokeMark([line(a, b)], PENS.before)] },
  { text: 'moved', layer: 'moved', draw: (a, b) => moveMarks(a, b) },
  { text: 'level, crease', layer: 'balance-lines', draw: (a, b) => [strokeMark([line(a, b)], PENS.balance)] },
  { text: 'grain', layer: 'grain', draw: (a, b) => grainMarks(a, b) },
  { text: 'stitch', layer: 'stitch-lines', draw: (a, b) => [strokeMark([line(a, b)], PENS.stitch)] },
];

/** Four fields in turn black and white, with the garment's millimetres at both ends. */
function scaleBarMarks(at: Point, scale: number, widths: TextWidths): Mark[] {
  const field = SCALE_BAR_MM / 4;
  const height = 1.6;
  const marks: Mark[] = [strokeMark(rectangle(at.x, at.y, at.x + SCALE_BAR_MM, at.y + height), PENS.sign)];
  for (const i of [0, 2]) {
    marks.push(fillMark(rectangle(at.x + i * field, at.y, at.x + (i + 1) * field, at.y + height), 'black'));
  }
  const text = `${SCALE_BAR_MM * scale} of garment, ${SCALE_BAR_MM} on paper`;
  marks.push(textMark(text, TEXT.small, { at: { x: at.x + SCALE_BAR_MM + 1.6, y: at.y } }, widths));
  return marks;
}
