import { GeometryError } from './geometry-error.js';

/** A point, or a direction, in the drafting plane: millimetres, x to the right, y up. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

export function at(x: number, y: number): Point {
  return { x, y };
}

export function add(a: Point, b: Point): Point {
  return { x: a.x + b.x, y: a.y + b.y };
}

/** The way from `from` to `to`. */
export function way(from: Point, to: Point): Point {
  return { x: to.x - from.x, y: to.y - from.y };
}

export function scale(p: Point, factor: number): Point {
  return { x: p.x * factor, y: p.y * factor };
}

/** The point reached by going `distanceMm` from `from` along `direction`, which has length 1. */
export function along(from: Point, direction: Point, distanceMm: number): Point {
  return { x: from.x + direction.x * distanceMm, y: from.y + direction.y * distanceMm };
}

export function lerp(from: Point, to: Point, t: number): Point {
  return { x: from.x + (to.x - from.x) * t, y: from.y + (to.y - from.y) * t };
}

export function dot(a: Point, b: Point): number {
  return a.x * b.x + a.y * b.y;
}

/** Positive when `b` lies to the left of `a`. */
export function cross(a: Point, b: Point): number {
  return a.x * b.y - a.y * b.x;
}

// Not Math.hypot: the same value here to the last bit or two, and ten times slower in the solver's inner loop.
export function norm(p: Point): number {
  return Math.sqrt(p.x * p.x + p.y * p.y);
}

export function distance(a: Point, b: Point): number {
  const x = b.x - a.x;
  const y = b.y - a.y;
  return Math.sqrt(x * x + y * y);
}

/** The direction of `p`, of length 1. Throws GeometryError NO_DIRECTION for the zero vector. */
export function unit(p: Point): Point {
  const length = norm(p);
  if (!(length > 0)) throw new GeometryError('NO_DIRECTION', { x: p.x, y: p.y });
  return { x: p.x / length, y: p.y / length };
}

/** The direction from `from` to `to`, of length 1. */
export function direction(from: Point, to: Point): Point {
  return unit(way(from, to));
}

/** `p` turned a quarter to the left. */
export function leftOf(p: Point): Point {
  return { x: -p.y, y: p.x };
}

export function opposite(p: Point): Point {
  return { x: -p.x, y: -p.y };
}

/** `p` turned counter-clockwise about `centre`. */
export function turnAbout(p: Point, centre: Point, angleRad: number): Point {
  const cos = Math.cos(angleRad);
  const sin = Math.sin(angleRad);
  const x = p.x - centre.x;
  const y = p.y - centre.y;
  return { x: centre.x + x * cos - y * sin, y: centre.y + x * sin + y * cos };
}

/** The angle between two directions, 0 to pi, exact near both ends where an arc cosine is not. */
export function angleBetween(a: Point, b: Point): number {
  return Math.abs(Math.atan2(cross(a, b), dot(a, b)));
}

/** Where the line through `a` along `u` meets the line through `b` along `v`; undefined when they are parallel. */
export function meet(a: Point, u: Point, b: Point, v: Point): Point | undefined {
  const denominator = cross(u, v);
  if (Math.abs(denominator) <= PARALLEL_SINE * norm(u) * norm(v)) return undefined;
  return along(a, u, cross(way(a, b), v) / denominator);
}

/** Sine under which two lines count as parallel: their meeting point would be over a kilometre away. */
const PARALLEL_SINE = 1e-9;

export const DEG = Math.PI / 180;
