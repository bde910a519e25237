import { line, type Point } from '#geometry';
import type { Bounds } from './box.js';
import type { CheckContentSeam } from './check-content.js';
import { fillMark, rectangle, strokeMark, textMark, type Mark } from './display-list.js';
import { mmText, signedMmText } from './number-words.js';
import { PENS, TEXT } from './pens.js';
import { stateMarks } from './signs.js';
import { shortened, type TextWidths } from './text-widths.js';

const BAR_MM = 2.2;
const PAIR_MM = 11.5;
const BAR_NAME_MM = 46;
const SIDE_NAME_MM = 26;
/** More pairs than these stand in the table only. */
export const SEAM_BARS_MAX = 5;
/** A difference is drawn at least this long, so that it is seen at all. */
const GAP_SEEN_MM = 0.6;

/** Each pair of seams as two bars from the end they share, those that are off first; what one is longer is filled. */
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
      pairMarks(seam, { x: area.left, y: area.top - 8 - i * PAIR_MM }, unit, widths),
    ),
  ];
}

function pairMarks(
  { name, first, second, state, ruled }: CheckContentSeam,
  corner: Point,
  unit: number,
  widths: TextWidths,
): Mark[] {
  const [left, top] = [corner.x + BAR_NAME_MM, corner.y];
  const bars = [first, second].flatMap((side, row): Mark[] => {
    const y = top - row * (BAR_MM + 1.2) - BAR_MM;
    const end = left + side.lengthMm * unit;
    return [
      strokeMark(rectangle(left, y, end, y + BAR_MM), PENS.rule),
      ...side.notchesMm.map((mm) =>
        strokeMark([line({ x: left + mm * unit, y }, { x: left + mm * unit, y: y + BAR_MM })], PENS.notch),
      ),
      textMark(
        shortened(`${side.name}  ${mmText(side.lengthMm)}`, SIDE_NAME_MM, TEXT.small, widths),
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
  const words = `${signedMmText(difference)} mm${state === 'fixed' ? ', eased' : ''}${ruled === undefined ? '' : `, ${ruled}`}`;
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
      shortened(name, BAR_NAME_MM - SIDE_NAME_MM - 3, TEXT.labelStrong, widths),
      TEXT.labelStrong,
      { at: { x: corner.x, y: top - BAR_MM - 1.4 } },
      widths,
    ),
  ];
}
