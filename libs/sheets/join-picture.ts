import type { Point } from '#geometry';
import type { Bounds } from './box.js';
import { circle, polyline, rectangle, strokeMark, textMark, type Mark, type Stroke } from './display-list.js';
import { textInBox } from './label-places.js';
import { CUT_PENS, PENS } from './pens.js';
import type { TextStyle, TextWidths } from './text-widths.js';

const HEADING = { sizeMm: 3, weight: 'semibold' } as const satisfies TextStyle;
const CAPTION = { sizeMm: 2.6, weight: 'regular' } as const satisfies TextStyle;
const NAME = { sizeMm: 4.2, weight: 'semibold' } as const satisfies TextStyle;

/** A page of the picture, and how far in from its edges the rings stand. */
const PAGE = { widthMm: 26, heightMm: 34 };
const IN_MM = 4;
const RING_MM = 1.5;
const CROSS_MM = 2.6;
/** What lies under another page. */
const HIDDEN = { widthMm: 0.13, ink: 'grey', dashMm: [1.2, 1.2] } as const satisfies Stroke;

/** From the left edge of the picture to its two scenes. */
const SCENES_MM = [2, 46];
const SIZE = { widthMm: 100, heightMm: 52 };

/**
 * How a page is cut and laid on the one at its right, in two scenes, into the upper left corner of a room; nothing where
 * the room is too small for it.
 */
export function joinPicture(
  { left, right, bottom, top }: Bounds,
  name: string,
  onName: string,
  widths: TextWidths,
): Mark[] {
  if (right - left < SIZE.widthMm || top - bottom < SIZE.heightMm) return [];
  const foot = top - 8 - PAGE.heightMm;
  const [cutting, laid] = SCENES_MM.map((mm) => ({ x: left + mm, y: foot }));
  const cutMm = PAGE.widthMm - IN_MM;
  const caption = (text: string, x: number): Mark =>
    textMark(text, CAPTION, { at: { x, y: foot - 4.5 } }, widths);
  return [
    textMark('How a page is laid on the next', HEADING, { at: { x: left, y: top - HEADING.sizeMm } }, widths),
    strokeMark(rectangle(cutting.x, foot, cutting.x + PAGE.widthMm, foot + PAGE.heightMm), PENS.rule),
    upright(cutting.x + cutMm, foot, CUT_PENS.frame),
    ...rings({ x: cutting.x + cutMm, y: foot }),
    textInBox(name, NAME, middle(cutting), widths),
    caption(`cut ${name} through its rings`, left),
    // The cut page lies on the other: of that one shows what begins at the cut.
    strokeMark(rectangle(laid.x, foot, laid.x + cutMm, foot + PAGE.heightMm), PENS.rule),
    strokeMark(
      polyline([
        { x: laid.x + cutMm, y: foot },
        { x: laid.x + cutMm - IN_MM + PAGE.widthMm, y: foot },
        { x: laid.x + cutMm - IN_MM + PAGE.widthMm, y: foot + PAGE.heightMm },
        { x: laid.x + cutMm, y: foot + PAGE.heightMm },
      ]),
      PENS.rule,
    ),
    upright(laid.x + cutMm - IN_MM, foot, HIDDEN),
    ...rings({ x: laid.x + cutMm, y: foot }),
    textInBox(name, NAME, middle(laid), widths),
    textInBox(onName, NAME, { ...middle(laid), x: laid.x + cutMm + PAGE.widthMm / 2 }, widths),
    caption(`lay it on ${onName}: the rings are whole; tape`, laid.x),
  ];
}

function middle({ x, y }: Point): Point {
  return { x: x + (PAGE.widthMm - IN_MM) / 2, y: y + PAGE.heightMm / 2 };
}

function upright(x: number, foot: number, pen: Stroke): Mark {
  return strokeMark(
    polyline([
      { x, y: foot },
      { x, y: foot + PAGE.heightMm },
    ]),
    pen,
  );
}

/** The lower and the upper ring over each other, each with its cross. */
function rings({ x, y }: Point): Mark[] {
  return [y + IN_MM, y + PAGE.heightMm - IN_MM].flatMap((at) => [
    strokeMark(circle({ x, y: at }, RING_MM), CUT_PENS.registration),
    strokeMark(
      [
        ...polyline([
          { x: x - CROSS_MM, y: at },
          { x: x + CROSS_MM, y: at },
        ]),
        ...polyline([
          { x, y: at - CROSS_MM },
          { x, y: at + CROSS_MM },
        ]),
      ],
      CUT_PENS.registration,
    ),
  ]);
}
