import { line } from '#geometry';
import type { Bounds } from './box.js';
import type { CheckContentSeam } from './check-content.js';
import { fillMark, rectangle, strokeMark, textMark, type Mark } from './display-list.js';
import { PENS, TEXT } from './pens.js';
import { stateMarks } from './signs.js';
import { shortened, type TextWidths } from './text-widths.js';

const BAR_MM = 2.2;
const PAIR_MM = 11.5;
const BAR_NAME_MM = 44;
const SIDE_NAME_MM = 20;
export const SEAM_BARS_MAX = 5;
/** A difference is drawn at least this long, so that it is seen at all. */
const GAP_SEEN_MM = 0.6;

/**
 * Seams that are sewn to each other as two bars each, laid from the end they share, with their notches; what one is longer
 * is filled. Those that are off come first; `SEAM_BARS_MAX` at most.
 */
export function seamBars(seams: readonly CheckContentSeam[], area: Bounds, widths: TextWidths): Mark[] {
  const shown = [...seams]
    .sort((a, b) => Number(b.state === 'off') - Number(a.state === 'off'))
    .slice(0, SEAM_BARS_MAX);
  if (shown.length === 0) return [];
  // Stretches of no length, too, are laid on a bar of a millimetre.
  const longest = Math.max(1, ...shown.flatMap(({ first, second }) => [first.lengthMm, second.lengthMm]));
  const room = area.right - area.left - BAR_NAME_MM - 34;
  const unit = room / longest;
  const heading = textMark(
    'Seams laid along each other, from the end they share',
    TEXT.heading,
    { at: { x: area.left, y: area.top - 3 } },
    widths,
  );
  return [
    heading,
    ...shown.flatMap((seam, i) =>
      pairMarks(seam, { left: area.left, top: area.top - 8 - i * PAIR_MM }, unit, widths),
    ),
  ];
}

function pairMarks(
  { name, first, second, state }: CheckContentSeam,
  { left: start, top }: Pick<Bounds, 'left' | 'top'>,
  unit: number,
  widths: TextWidths,
): Mark[] {
  const left = start + BAR_NAME_MM;
  const bars = [first, second].flatMap((side, row): Mark[] => {
    const y = top - row * (BAR_MM + 1.2) - BAR_MM;
    const end = left + side.lengthMm * unit;
    return [
      strokeMark(rectangle(left, y, end, y + BAR_MM), PENS.rule),
      ...side.notchesMm.map((mm) =>
        strokeMark([line({ x: left + mm * unit, y }, { x: left + mm * unit, y: y + BAR_MM })], PENS.notch),
      ),
      textMark(
        shortened(`${side.name}  ${side.lengthMm.toFixed(1)}`, SIDE_NAME_MM, TEXT.small, widths),
        TEXT.small,
        { at: { x: left - 2, y: y + 0.4 }, anchor: 'end' },
        widths,
      ),
    ];
  });
  const difference = second.lengthMm - first.lengthMm;
  const shorter = left + Math.min(first.lengthMm, second.lengthMm) * unit;
  const overMm = Math.max(GAP_SEEN_MM, Math.abs(difference) * unit);
  const y = top - (difference > 0 ? BAR_MM + 1.2 : 0) - BAR_MM;
  const over =
    Math.abs(difference) < 0.05
      ? []
      : [fillMark(rectangle(shorter, y, shorter + overMm, y + BAR_MM), state === 'off' ? 'black' : 'pale')];
  const right = left + Math.max(first.lengthMm, second.lengthMm) * unit + 5;
  const words = `${difference >= 0.05 ? '+' : ''}${Math.abs(difference) < 0.05 ? '0.0' : difference.toFixed(1)} mm`;
  return [
    ...bars,
    ...over,
    ...stateMarks(state, { x: right, y: top - BAR_MM - 0.6 }),
    textMark(
      words,
      state === 'off' ? TEXT.labelStrong : TEXT.label,
      { at: { x: right + 2.4, y: top - BAR_MM - 1.4 } },
      widths,
    ),
    textMark(
      shortened(name, BAR_NAME_MM - SIDE_NAME_MM - 4, TEXT.labelStrong, widths),
      TEXT.labelStrong,
      { at: { x: start, y: top - BAR_MM - 1.4 } },
      widths,
    ),
  ];
}
