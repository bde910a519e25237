import { createRequire } from 'node:module';
import type { DxfParser as Parser } from 'dxf-parser';

// Its types tell of a module with names, the package holds one without: it is required by what it really is.
const DxfParser = createRequire(import.meta.url)('dxf-parser') as new () => Parser;

export interface DxfRead {
  readonly errors: readonly string[];
  readonly pieces: Readonly<Record<string, DxfReadPiece>>;
}

type Pair = readonly [number, number];

export interface DxfReadPiece {
  readonly boundary: readonly DxfChain[];
  readonly sew: readonly DxfChain[];
  readonly notches: readonly Pair[];
  readonly drills: readonly Pair[];
  readonly grain: readonly Pair[];
}

export interface DxfChain {
  readonly closed: boolean;
  readonly points: readonly Pair[];
}

interface XY {
  readonly x: number;
  readonly y: number;
}

/** What dxf-parser makes of an entity of a kind that pattern files have. */
interface Entity {
  readonly type: string;
  readonly layer: string;
  readonly name?: string;
  readonly shape?: boolean;
  readonly vertices?: readonly XY[];
  readonly position?: XY;
}

/** The pieces of a DXF as dxf-parser, a general-purpose reader, sees them. */
export function readByDxfParser(text: string): DxfRead {
  const read = new DxfParser().parseSync(text);
  if (read === null) return { errors: ['nothing was read'], pieces: {} };
  const inserts = (read.entities as unknown as Entity[]).filter(({ type }) => type === 'INSERT');
  const pieces = inserts.map(({ name = '' }): [string, DxfReadPiece] => [
    name,
    pieceOf(read.blocks[name].entities as unknown as Entity[]),
  ]);
  return { errors: [], pieces: Object.fromEntries(pieces) };
}

function pieceOf(entities: readonly Entity[]): DxfReadPiece {
  const on = (type: string, layer: string): Entity[] =>
    entities.filter((entity) => entity.type === type && entity.layer === layer);
  const chains = (layer: string): DxfChain[] =>
    on('POLYLINE', layer).map(({ shape = false, vertices = [] }) => ({
      closed: shape,
      points: vertices.map(pair),
    }));
  const points = (layer: string): Pair[] =>
    on('POINT', layer).flatMap(({ position }) => (position === undefined ? [] : [pair(position)]));
  return {
    boundary: chains('1'),
    sew: chains('14'),
    notches: points('4'),
    drills: points('13'),
    grain: on('LINE', '7').flatMap(({ vertices = [] }) => vertices.map(pair)),
  };
}

function pair({ x, y }: XY): Pair {
  return [x, y];
}
