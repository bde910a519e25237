import type { Point } from '#geometry';
import { DXF_LAYERS } from './dxf-writer.js';

/** A piece as it stands in a file, in mm. */
export interface ReadPiece {
  readonly block: string;
  /** Texts of the form "Identifier:value", by identifier. */
  readonly texts: Readonly<Record<string, string>>;
  readonly boundary: readonly Point[];
  readonly sewLines: readonly (readonly Point[])[];
  readonly internalLines: readonly (readonly Point[])[];
  readonly turnPoints: readonly Point[];
  readonly curvePoints: readonly Point[];
  readonly notches: readonly ReadNotch[];
  readonly drillHoles: readonly { readonly at: Point; readonly diameterMm: number }[];
  readonly grain: readonly [Point, Point] | undefined;
  /** Layers of the validation curves that are there. */
  readonly validated: readonly number[];
}

export interface ReadNotch {
  readonly at: Point;
  readonly depthMm: number;
  readonly widthMm: number;
  readonly angleDeg: number;
}

export interface ReadPattern {
  readonly texts: Readonly<Record<string, string>>;
  readonly units: 'metric' | 'english';
  readonly pieces: readonly ReadPiece[];
}

/** A file that is not what `writeDxf` writes. */
export class DxfError extends Error {
  override readonly name = 'DxfError';
}

/**
 * Read back what `writeDxf` writes, and nothing else: it proves that a file says what was meant.
 *
 * Errors  DxfError when a pair is broken, a section is open or the units are missing.
 */
export function readDxf(text: string): ReadPattern {
  const entities = entitiesOf(pairsOf(text));
  const start = entities.findIndex(({ kind, values }) => kind === 'SECTION' && values.get(2) === 'ENTITIES');
  if (start < 0) throw new DxfError('there is no ENTITIES section');
  const texts = textsOf(entities.slice(start));
  const units = { METRIC: 'metric', ENGLISH: 'english' }[texts['Units'] ?? ''];
  if (units !== 'metric' && units !== 'english')
    throw new DxfError(`Units is "${texts['Units'] ?? ''}", not METRIC or ENGLISH`);
  const mm = units === 'metric' ? 1 : 25.4;
  return { texts, units, pieces: blocksOf(entities.slice(0, start)).map((block) => pieceOf(block, mm)) };
}

interface Entity {
  readonly kind: string;
  /** The first value of each group code. */
  readonly values: ReadonlyMap<number, string>;
}

function pairsOf(text: string): (readonly [code: number, value: string])[] {
  const lines = text.split('\r\n');
  if (lines.at(-1) === '') lines.pop();
  if (lines.length % 2 !== 0) throw new DxfError('the last pair of lines is broken');
  return Array.from({ length: lines.length / 2 }, (_, i) => {
    const code = Number(lines[2 * i]);
    if (!Number.isInteger(code)) throw new DxfError(`line ${2 * i + 1} is not a group code`);
    return [code, lines[2 * i + 1]] as const;
  });
}

function entitiesOf(pairs: readonly (readonly [number, string])[]): Entity[] {
  const entities: { kind: string; values: Map<number, string> }[] = [];
  for (const [code, value] of pairs) {
    if (code === 0) entities.push({ kind: value, values: new Map() });
    else if (entities.at(-1)?.values.has(code) === false) entities.at(-1)?.values.set(code, value);
  }
  if (entities.at(-1)?.kind !== 'EOF') throw new DxfError('the file does not end with EOF');
  return entities;
}

function textsOf(entities: readonly Entity[]): Record<string, string> {
  const texts = entities.flatMap(({ kind, values }) => (kind === 'TEXT' ? [values.get(1) ?? ''] : []));
  return Object.fromEntries(
    texts.flatMap((text) => {
      const colon = text.indexOf(':');
      return colon < 0 ? [] : [[text.slice(0, colon), text.slice(colon + 1)]];
    }),
  );
}

function blocksOf(entities: readonly Entity[]): Entity[][] {
  const blocks: Entity[][] = [];
  for (const entity of entities) {
    if (entity.kind === 'BLOCK') blocks.push([entity]);
    else blocks.at(-1)?.push(entity);
  }
  return blocks;
}

function pieceOf(block: readonly Entity[], mm: number): ReadPiece {
  const lines = polylinesOf(block, mm);
  const on = (layer: number): Point[][] =>
    lines.filter((each) => each.layer === layer).map((each) => each.points);
  const points = block.filter(({ kind }) => kind === 'POINT');
  const pointsOn = (layer: number): Entity[] => points.filter((each) => layerOf(each) === layer);
  const [boundary] = on(DXF_LAYERS.boundary);
  const grain = block.find((each) => each.kind === 'LINE' && layerOf(each) === DXF_LAYERS.grain);
  return {
    block: block[0].values.get(2) ?? '',
    texts: textsOf(block),
    boundary,
    sewLines: on(DXF_LAYERS.sewLines),
    internalLines: on(DXF_LAYERS.internalLines),
    turnPoints: pointsOn(DXF_LAYERS.turnPoints).map((each) => placeOf(each, mm)),
    curvePoints: pointsOn(DXF_LAYERS.curvePoints).map((each) => placeOf(each, mm)),
    notches: pointsOn(DXF_LAYERS.notches).map((each) => ({
      at: placeOf(each, mm),
      depthMm: numberOf(each, 30) * mm,
      widthMm: numberOf(each, 39) * mm,
      angleDeg: numberOf(each, 50),
    })),
    drillHoles: pointsOn(DXF_LAYERS.drillHoles).map((each) => ({
      at: placeOf(each, mm),
      diameterMm: numberOf(each, 30) * mm,
    })),
    grain:
      grain === undefined
        ? undefined
        : [placeOf(grain, mm), { x: numberOf(grain, 11) * mm, y: numberOf(grain, 21) * mm }],
    validated: [...new Set(lines.map(({ layer }) => layer).filter((layer) => layer >= 84))],
  };
}

function polylinesOf(block: readonly Entity[], mm: number): { layer: number; points: Point[] }[] {
  const lines: { layer: number; closed: boolean; points: Point[] }[] = [];
  for (const entity of block) {
    if (entity.kind === 'POLYLINE')
      lines.push({ layer: layerOf(entity), closed: entity.values.get(70) === '1', points: [] });
    else if (entity.kind === 'VERTEX') lines.at(-1)?.points.push(placeOf(entity, mm));
  }
  // A closed line repeats its first vertex.
  return lines.map(({ layer, closed, points }) => ({ layer, points: closed ? points.slice(0, -1) : points }));
}

function layerOf({ values }: Entity): number {
  return Number(values.get(8));
}

function placeOf(entity: Entity, mm: number): Point {
  return { x: numberOf(entity, 10) * mm, y: numberOf(entity, 20) * mm };
}

function numberOf({ values }: Entity, code: number): number {
  return Number(values.get(code) ?? 0);
}
