import { problem } from './check-request.js';
import type { Marker } from './engine.js';
import type { Corner, MarkerPiece, MarkerProblem, MarkerRequest } from './request.js';

/** A layout in the published form: the strip is 0..length by 0..stripHeight. */
export interface Layout {
  readonly seed: number;
  readonly work: number;
  readonly length: number;
  readonly utilisation: number;
  readonly placements: readonly {
    readonly piece: string | number;
    readonly turn: number;
    readonly mirrored: boolean;
    readonly x: number;
    readonly y: number;
  }[];
}

export type InstanceAnswer =
  | { readonly ok: true; readonly request: MarkerRequest }
  | { readonly ok: false; readonly problems: readonly MarkerProblem[] };

/** Read a strip-packing instance `{ set, source, stripHeight, pieces: [{ id, count, turns, outline }] }`, any unit. */
export function readInstance(json: unknown): InstanceAnswer {
  if (!isRecord(json)) return refuse('', typeof json, 'an object');
  const { stripHeight, pieces } = json;
  if (typeof stripHeight !== 'number') return refuse('/stripHeight', typeof stripHeight, 'a number');
  if (!Array.isArray(pieces)) return refuse('/pieces', typeof pieces, 'a list of pieces');
  const problems = pieces.flatMap(shapeProblems);
  if (problems.length > 0) return { ok: false, problems };
  const read = pieces as readonly (MarkerPiece & { readonly count: number })[];
  return {
    ok: true,
    request: {
      cloth: { width: stripHeight },
      pieces: read.map(({ id, outline, turns }) => ({ id, outline, turns })),
      garments: [
        { reference: 'instance', pieces: read.map(({ id, count }) => ({ piece: id, plain: count })) },
      ],
    },
  };
}

/** The place in the instance that a place in the request made from it stands for. */
export function instancePointer(pointer: string): string {
  return pointer
    .replace('/cloth/width', '/stripHeight')
    .replace(/^\/garments\/0\/pieces\/(\d+)\/plain$/, '/pieces/$1/count')
    .replace(/^\/garments.*$/, '/pieces');
}

/** Write a marker in the published form. */
export function toLayout({ seed, work, placements, figures }: Marker): Layout {
  return {
    seed,
    work,
    length: figures.length,
    utilisation: figures.utilisation,
    placements: placements.map(({ piece, turn, mirrored, x, y }) => ({ piece, turn, mirrored, x, y })),
  };
}

function shapeProblems(piece: unknown, index: number): MarkerProblem[] {
  const at = `/pieces/${index}`;
  const wrong = (field: string, value: unknown, allowed: string): MarkerProblem =>
    problem('INSTANCE', `${at}${field}`, typeof value, allowed, 'correct the instance file');
  if (!isRecord(piece)) return [wrong('', piece, 'an object')];
  const { id, count, turns, outline } = piece;
  const found: MarkerProblem[] = [];
  if (typeof id !== 'number' && typeof id !== 'string') found.push(wrong('/id', id, 'a number or a text'));
  if (typeof count !== 'number') found.push(wrong('/count', count, 'a whole number'));
  if (!isNumbers(turns)) found.push(wrong('/turns', turns, 'a list of degrees'));
  if (!Array.isArray(outline) || !outline.every(isCorner))
    found.push(wrong('/outline', outline, 'a list of [x, y]'));
  return found;
}

function isCorner(value: unknown): value is Corner {
  return isNumbers(value) && value.length === 2;
}

function isNumbers(value: unknown): value is number[] {
  return Array.isArray(value) && value.every((entry) => typeof entry === 'number');
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function refuse(pointer: string, found: string, allowed: string): InstanceAnswer {
  return { ok: false, problems: [problem('INSTANCE', pointer, found, allowed, 'correct the instance file')] };
}
