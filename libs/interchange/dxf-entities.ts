import { quoted, type DxfLog } from './dxf-log.js';
import type { Pair } from './dxf-pairs.js';

/** One entity with its groups; a POLYLINE has its VERTEX entities with it. */
export interface Entity {
  readonly kind: string;
  readonly line: number;
  readonly pairs: readonly Pair[];
  readonly vertices: readonly Entity[];
}

export interface DxfBlock {
  readonly name: string;
  readonly line: number;
  readonly base: { readonly x: number; readonly y: number };
  readonly entities: readonly Entity[];
}

export interface DxfContents {
  readonly header: ReadonlyMap<string, string>;
  readonly blocks: readonly DxfBlock[];
  readonly entities: readonly Entity[];
}

/** The first value of a code, with its line. */
export function pairOf({ pairs }: Entity, code: number): Pair | undefined {
  return pairs.find((pair) => pair.code === code);
}

export function textOf(entity: Entity, code: number): string {
  return pairOf(entity, code)?.value ?? '';
}

/** A number of an entity; `absent` where the code is not there, and a problem where it is no number. */
export function numberOf(entity: Entity, code: number, absent: number, log: DxfLog): number {
  const pair = pairOf(entity, code);
  return pair === undefined ? absent : valueOf(pair, entity.kind, log);
}

/** Coordinates past this are no pattern's, in any unit. */
const VALUE_MAX = 1e7;

export function valueOf(pair: Pair, kind: string, log: DxfLog): number {
  const value = pair.value.trim() === '' ? Number.NaN : Number(pair.value);
  if (Number.isFinite(value) && Math.abs(value) <= VALUE_MAX) return value;
  log.problem({
    code: 'DXF_NOT_A_NUMBER',
    line: pair.line,
    found: quoted(pair.value),
    allowed: `a number between -${VALUE_MAX} and ${VALUE_MAX}`,
    message: `Group ${pair.code} of the ${kind} at line ${pair.line} is ${quoted(pair.value)}, not a number a pattern could have.`,
    action: 'Write the entity again.',
  });
  return Number.NaN;
}

/**
 * Sections, blocks and entities of a file.
 *
 * Edges   a section or block that is not closed ends where the next begins, or with the file, and is said; sections
 *         other than HEADER, BLOCKS and ENTITIES are listed as unread.
 */
export function contentsOf(pairs: readonly Pair[], log: DxfLog): DxfContents {
  const all = entitiesOf(pairs, log);
  const header = new Map<string, string>();
  const blocks: { name: string; line: number; base: { x: number; y: number }; entities: Entity[] }[] = [];
  const loose: Entity[] = [];
  let section = '';
  let open: (typeof blocks)[number] | undefined;
  for (const entity of all) {
    if (entity.kind === 'SECTION') {
      if (open !== undefined) log.problem(notClosed('BLOCK', open.line));
      open = undefined;
      section = textOf(entity, 2).trim().toUpperCase();
      if (section === 'HEADER') readHeader(entity, header);
      else if (section !== 'BLOCKS' && section !== 'ENTITIES')
        log.unread(entity.line, `section ${section}`, 'it holds no drawing');
    } else if (entity.kind === 'ENDSEC') section = '';
    else if (entity.kind === 'EOF') break;
    else if (section === 'BLOCKS') {
      if (entity.kind === 'BLOCK') {
        if (open !== undefined) log.problem(notClosed('BLOCK', open.line));
        open = { name: textOf(entity, 2).trim(), line: entity.line, base: baseOf(entity, log), entities: [] };
        blocks.push(open);
      } else if (entity.kind === 'ENDBLK') open = undefined;
      else if (open === undefined) log.unread(entity.line, entity.kind, 'it stands between two blocks');
      else open.entities.push(entity);
    } else if (section === 'ENTITIES') loose.push(entity);
    else if (section === '') log.unread(entity.line, entity.kind, 'it stands outside of every section');
  }
  if (all.at(-1)?.kind !== 'EOF' && all.length > 0) log.problem(noEnd(pairs[pairs.length - 1].line));
  return { header, blocks, entities: loose };
}

function baseOf(entity: Entity, log: DxfLog): { x: number; y: number } {
  return { x: numberOf(entity, 10, 0, log), y: numberOf(entity, 20, 0, log) };
}

function readHeader(entity: Entity, header: Map<string, string>): void {
  let name = '';
  for (const { code, value } of entity.pairs.slice(0, HEADER_PAIRS_MAX)) {
    if (code === 9) name = value.trim().toUpperCase();
    else if (name !== '' && !header.has(name)) header.set(name, value.trim());
  }
}

const HEADER_PAIRS_MAX = 5000;

function entitiesOf(pairs: readonly Pair[], log: DxfLog): Entity[] {
  const entities: { kind: string; line: number; pairs: Pair[]; vertices: Entity[] }[] = [];
  let polyline: (typeof entities)[number] | undefined;
  for (const pair of pairs) {
    if (pair.code !== 0) {
      current(entities, polyline)?.pairs.push(pair);
      continue;
    }
    const entity = { kind: pair.value.trim().toUpperCase(), line: pair.line, pairs: [], vertices: [] };
    if (polyline !== undefined && entity.kind === 'VERTEX') {
      polyline.vertices.push(entity);
      continue;
    }
    if (polyline !== undefined && entity.kind !== 'SEQEND') log.problem(notClosed('POLYLINE', polyline.line));
    if (entity.kind === 'SEQEND') {
      // An INSERT with attributes ends with one as well.
      polyline = undefined;
      entities.push({ ...entity, kind: SEQEND });
      continue;
    }
    polyline = entity.kind === 'POLYLINE' ? entity : undefined;
    entities.push(entity);
    if (entities.length > log.limits.entities) {
      log.problem(manyEntities(entity.line, log.limits.entities));
      break;
    }
  }
  return entities.filter(({ kind }) => kind !== SEQEND);
}

const SEQEND = 'SEQEND';

function current(
  entities: readonly { pairs: Pair[] }[],
  polyline: { pairs: Pair[]; vertices: readonly Entity[] } | undefined,
): { pairs: Pair[] } | undefined {
  const vertex = polyline?.vertices.at(-1);
  return vertex === undefined ? entities.at(-1) : (vertex as unknown as { pairs: Pair[] });
}

function notClosed(kind: string, line: number) {
  const end = kind === 'BLOCK' ? 'ENDBLK' : 'SEQEND';
  return {
    code: 'DXF_NOT_CLOSED',
    line,
    found: `a ${kind} without ${end}`,
    allowed: `a ${kind} that is ended by ${end}`,
    message: `The ${kind} at line ${line} is not ended by ${end}.`,
    action: 'Write the file again; something was lost in it.',
  };
}

function noEnd(line: number) {
  return {
    code: 'DXF_CUT_OFF',
    line,
    found: 'no EOF',
    allowed: 'a file that ends with EOF',
    message: `The file ends at line ${line} without EOF: it may be cut off.`,
    action: 'Send the whole file.',
  };
}

function manyEntities(line: number, most: number) {
  return {
    code: 'DXF_TOO_MANY_ENTITIES',
    line,
    found: `more than ${most} entities`,
    allowed: `at most ${most} entities`,
    message: `The file has more than ${most} entities. The rest was not read.`,
    action: 'Send one style a file.',
  };
}
