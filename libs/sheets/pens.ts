import type { Stroke } from './display-list.js';
import type { TextStyle } from './text-widths.js';

/**
 * The drawing language in one place: what each line is drawn with. docs/drawing-language.md says what it means.
 *
 * Three weights, each about twice the one below, stay apart on a black and white laser print (ISO 128-2 asks for
 * a ratio of two between neighbouring widths; from memory). Dash patterns differ in rhythm, not only in length.
 */
export const PENS = {
  /** The seam line of the altered piece. */
  seam: { widthMm: 0.5, ink: 'black' },
  /** Dart legs: part of the outline, but not a seam between pieces. */
  dart: { widthMm: 0.3, ink: 'black' },
  /** The seam line before the alteration. */
  before: { widthMm: 0.25, ink: 'grey', dashMm: [2.2, 1.1] },
  /** Balance lines: hip, fork, knee and hem level, and the crease. */
  balance: { widthMm: 0.13, ink: 'black', dashMm: [5, 1, 0.6, 1] },
  balanceBefore: { widthMm: 0.13, ink: 'grey', dashMm: [1.2, 1.2] },
  grain: { widthMm: 0.25, ink: 'black' },
  /** Fly and other stitch lines. */
  stitch: { widthMm: 0.2, ink: 'black', dashMm: [0.9, 0.7] },
  notch: { widthMm: 0.35, ink: 'black' },
  moved: { widthMm: 0.25, ink: 'black' },
  leader: { widthMm: 0.13, ink: 'black' },
  sign: { widthMm: 0.25, ink: 'black' },
  signAside: { widthMm: 0.25, ink: 'black', dashMm: [0.8, 0.6] },
  rule: { widthMm: 0.13, ink: 'black' },
  heavyRule: { widthMm: 0.5, ink: 'black' },
  rowRule: { widthMm: 0.1, ink: 'pale' },
} as const satisfies Record<string, Stroke>;

/** The same language at true size: dashes grow with the drawing, lines only as far as they stay exact to cut along. */
export const TRUE_SIZE_PENS = {
  seam: { widthMm: 0.5, ink: 'black' },
  dart: { widthMm: 0.35, ink: 'black' },
  balance: { widthMm: 0.25, ink: 'black', dashMm: [14, 3, 2, 3] },
  grain: { widthMm: 0.35, ink: 'black' },
  stitch: { widthMm: 0.35, ink: 'black', dashMm: [4, 3] },
  notch: { widthMm: 0.5, ink: 'black' },
} as const satisfies Record<string, Stroke>;

/** A marker to scale: only the cut line is bold, so that a full cloth of hatches does not drown it. */
export const MARKER_PENS = {
  cut: { widthMm: 0.4, ink: 'black' },
  hatch: { widthMm: 0.13, ink: 'black' },
  edge: { widthMm: 0.6, ink: 'black' },
  margin: { widthMm: 0.2, ink: 'black', dashMm: [3, 1.5] },
  repeat: { widthMm: 0.13, ink: 'grey', dashMm: [0.6, 1.8] },
  grain: { widthMm: 0.2, ink: 'black' },
} as const satisfies Record<string, Stroke>;

/** A checked pattern: a seam that is off is broken and heavier than one that fits. */
export const CHECK_PENS = {
  off: { widthMm: 0.9, ink: 'black', dashMm: [2.4, 1] },
  cut: { widthMm: 0.18, ink: 'grey' },
} as const satisfies Record<string, Stroke>;

/** Cut pieces at true size: the line that is cut is the boldest, the seam inside it is dashed. */
export const CUT_PENS = {
  cut: { widthMm: 0.5, ink: 'black' },
  seam: { widthMm: 0.3, ink: 'black', dashMm: [7, 2.5] },
  fold: { widthMm: 0.3, ink: 'black', dashMm: [14, 3, 2, 3, 2, 3] },
  frame: { widthMm: 0.2, ink: 'grey' },
  registration: { widthMm: 0.25, ink: 'black' },
} as const satisfies Record<string, Stroke>;

/** Sizes of text. The smallest is the smallest that reads on paper at arm's length: 6 points, 2.1 mm. */
export const TEXT = {
  reference: { sizeMm: 6.4, weight: 'semibold' },
  title: { sizeMm: 3.1, weight: 'regular' },
  verdict: { sizeMm: 3.4, weight: 'semibold' },
  heading: { sizeMm: 2.8, weight: 'semibold' },
  columnHead: { sizeMm: 2.2, weight: 'regular' },
  row: { sizeMm: 2.5, weight: 'regular' },
  rowStrong: { sizeMm: 2.5, weight: 'semibold' },
  small: { sizeMm: 2.2, weight: 'regular' },
  smallStrong: { sizeMm: 2.2, weight: 'semibold' },
  label: { sizeMm: 2.5, weight: 'regular' },
  labelStrong: { sizeMm: 2.5, weight: 'semibold' },
  pieceName: { sizeMm: 4.6, weight: 'semibold' },
} as const satisfies Record<string, TextStyle>;
