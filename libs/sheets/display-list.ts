import { cubic, line, mapCurve, QUARTER_HANDLE, type Curve, type Point } from '#geometry';
import type { Bounds } from './box.js';
import { textWidthMm, type TextStyle, type TextWeight, type TextWidths } from './text-widths.js';

/**
 * A page as a list of marks, without any file format: what is drawn where, in which order.
 *
 * Shape  layers in drawing order, later ones on top. What is listed is seen, unless its layer is clipped.
 * Units  millimetres of paper, origin at the lower left corner of the page, y up.
 */
export interface Sheet {
  readonly widthMm: number;
  readonly heightMm: number;
  /** One line for the document's title. */
  readonly title: string;
  readonly layers: readonly Layer[];
}

export interface Layer<Id extends string = string> {
  /** Unique on its sheet: lower-case letters, digits and hyphens. */
  readonly id: Id;
  readonly marks: readonly Mark[];
  /** Only what lies within is seen; the whole page when absent. */
  readonly clip?: Bounds;
}

export type Mark = PathMark | TextMark;

/** Three tones and paper: meaning never rests on the tone alone. */
export type Ink = 'black' | 'grey' | 'pale' | 'white';

export interface Stroke {
  readonly widthMm: number;
  readonly ink: Ink;
  /** Lengths of dash and gap in turn; solid when absent. */
  readonly dashMm?: readonly number[];
}

/** Curves drawn in one go. Where a curve does not start at the end of the one before, the pen is lifted. */
export interface PathMark {
  readonly kind: 'path';
  readonly curves: readonly Curve[];
  readonly stroke?: Stroke;
  readonly fill?: Ink;
}

export type TextAnchor = 'start' | 'middle' | 'end';

/** One line of text. `at` is on the baseline, at the start, middle or end of the line as `anchor` says. */
export interface TextMark {
  readonly kind: 'text';
  readonly at: Point;
  readonly text: string;
  readonly sizeMm: number;
  readonly weight: TextWeight;
  readonly anchor: TextAnchor;
  /** Direction of reading, counter-clockwise from +x. */
  readonly angleRad: number;
  readonly ink: Ink;
  /** The measured length of the line. */
  readonly widthMm: number;
}

export function strokeMark(curves: readonly Curve[], stroke: Stroke): PathMark {
  return { kind: 'path', curves, stroke };
}

export function fillMark(curves: readonly Curve[], fill: Ink): PathMark {
  return { kind: 'path', curves, fill };
}

export interface TextPlace {
  readonly at: Point;
  readonly anchor?: TextAnchor;
  readonly angleRad?: number;
  readonly ink?: Ink;
}

export function textMark(text: string, style: TextStyle, place: TextPlace, widths: TextWidths): TextMark {
  return {
    kind: 'text',
    at: place.at,
    text,
    sizeMm: style.sizeMm,
    weight: style.weight,
    anchor: place.anchor ?? 'start',
    angleRad: place.angleRad ?? 0,
    ink: place.ink ?? 'black',
    widthMm: textWidthMm(text, style, widths),
  };
}

/** The same mark somewhere else; `move` neither turns nor stretches. */
export function movedMark(mark: Mark, move: (p: Point) => Point): Mark {
  return mark.kind === 'text'
    ? { ...mark, at: move(mark.at) }
    : { ...mark, curves: mark.curves.map((curve) => mapCurve(curve, move)) };
}

/** A closed polygon. */
export function polygon(points: readonly Point[]): Curve[] {
  return points.map((p, i) => line(p, points[(i + 1) % points.length]));
}

/** An open chain of straight lines. */
export function polyline(points: readonly Point[]): Curve[] {
  return points.slice(1).map((p, i) => line(points[i], p));
}

export function rectangle(left: number, bottom: number, right: number, top: number): Curve[] {
  return polygon([
    { x: left, y: bottom },
    { x: right, y: bottom },
    { x: right, y: top },
    { x: left, y: top },
  ]);
}

export function circle(centre: Point, radiusMm: number): Curve[] {
  const k = QUARTER_HANDLE * radiusMm;
  const { x, y } = centre;
  const east = { x: x + radiusMm, y };
  const north = { x, y: y + radiusMm };
  const west = { x: x - radiusMm, y };
  const south = { x, y: y - radiusMm };
  return [
    cubic(east, { x: east.x, y: y + k }, { x: x + k, y: north.y }, north),
    cubic(north, { x: x - k, y: north.y }, { x: west.x, y: y + k }, west),
    cubic(west, { x: west.x, y: y - k }, { x: x - k, y: south.y }, south),
    cubic(south, { x: x + k, y: south.y }, { x: east.x, y: y - k }, east),
  ];
}
