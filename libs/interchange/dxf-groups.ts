import { DEG } from '#geometry';
import { numberOf, textOf, type DxfBlock, type DxfContents, type Entity } from './dxf-entities.js';
import { quoted, type DxfLog } from './dxf-log.js';
import { placedWithin, scaled, type Placement } from './dxf-strokes.js';

export interface PlacedEntity {
  readonly entity: Entity;
  readonly placement: Placement;
}

/** What belongs together: the contents of one block, or what stands outside of blocks. */
export interface DxfGroup {
  readonly name: string;
  readonly line: number;
  readonly items: readonly PlacedEntity[];
}

/**
 * The groups that pieces are read from.
 *
 * Shape   a block keeps its own frame: where an INSERT lays it on the sheet says nothing of the piece. Only a scale of
 *         the INSERT counts, because it changes the size. Blocks within blocks are put where they stand.
 * Edges   blocks of a program's page layout (`*` or `$` in front) are no pieces. A block that is only used within others
 *         is no piece by itself.
 */
export function groupsOf({ blocks, entities }: DxfContents, mm: number, log: DxfLog): DxfGroup[] {
  const byName = new Map(blocks.map((block) => [block.name.toUpperCase(), block]));
  const inserts = entities.filter(({ kind }) => kind === 'INSERT');
  const nested = new Set(
    blocks.flatMap((block) => block.entities.filter(({ kind }) => kind === 'INSERT').map(nameOf)),
  );
  for (const insert of inserts) if (!byName.has(nameOf(insert))) log.problem(noBlock(insert));
  const budget = { left: log.limits.nested, isSaid: false };
  const pieces = blocks
    .filter(({ name }) => !/^[*$]/.test(name))
    .filter(
      ({ name }) =>
        !nested.has(name.toUpperCase()) || inserts.some((insert) => nameOf(insert) === name.toUpperCase()),
    )
    .map((block): DxfGroup => {
      const own = inserts.filter((insert) => nameOf(insert) === block.name.toUpperCase());
      const placement = own.length === 0 ? scaled(mm) : sizeOnly(own[0], mm, log);
      return {
        name: block.name,
        line: block.line,
        items: expanded(block, placement, byName, log, budget, 0),
      };
    });
  const loose = entities.filter(({ kind }) => kind !== 'INSERT');
  const placement = scaled(mm);
  const items = loose.map((entity) => ({ entity, placement }));
  return [
    ...pieces,
    ...(items.length === 0 ? [] : [{ name: 'ENTITIES', line: items[0].entity.line, items }]),
  ];
}

function nameOf(insert: Entity): string {
  return textOf(insert, 2).trim().toUpperCase();
}

function sizeOnly(insert: Entity, mm: number, log: DxfLog): Placement {
  return { ...scaled(mm), a: mm * scaleOr1(insert, 41, log), d: mm * scaleOr1(insert, 42, log) };
}

function scaleOr1(insert: Entity, code: number, log: DxfLog): number {
  const scale = numberOf(insert, code, 1, log);
  if (Math.abs(scale) >= SCALE_MIN && Math.abs(scale) <= 1 / SCALE_MIN) return scale;
  log.problem({
    code: 'DXF_INSERT_SCALE',
    line: insert.line,
    found: `a scale of ${scale}`,
    allowed: `a scale between ${SCALE_MIN} and ${1 / SCALE_MIN}, or its negative`,
    message: `The INSERT at line ${insert.line} has a scale of ${scale}; it was read as 1.`,
    action: 'Insert the block at its own size.',
  });
  return 1;
}

const SCALE_MIN = 1e-4;

function expanded(
  block: DxfBlock,
  placement: Placement,
  byName: ReadonlyMap<string, DxfBlock>,
  log: DxfLog,
  budget: { left: number; isSaid: boolean },
  depth: number,
): PlacedEntity[] {
  const items: PlacedEntity[] = [];
  for (const entity of block.entities) {
    // What stands in a block itself was counted when it was read; what is put in from others multiplies.
    if (depth > 0 || entity.kind === 'INSERT') budget.left -= weightOf(entity);
    if (budget.left <= 0) {
      if (!budget.isSaid) log.problem(tooMany(entity, log));
      budget.isSaid = true;
      return items;
    }
    if (entity.kind !== 'INSERT') {
      items.push({ entity, placement });
      continue;
    }
    const inner = byName.get(nameOf(entity));
    if (inner === undefined) log.problem(noBlock(entity));
    else if (depth >= log.limits.insertDepth) log.problem(tooDeep(entity, log));
    else {
      const within = placedWithin(placement, insertPlacement(entity, inner, log));
      items.push(...expanded(inner, within, byName, log, budget, depth + 1));
    }
  }
  return items;
}

/** A line of thousands of points put in thousands of times is thousands of entities each time. */
const GROUPS_AN_ENTITY = 16;

function weightOf({ pairs, vertices }: Entity): number {
  return 1 + Math.floor((pairs.length + 4 * vertices.length) / GROUPS_AN_ENTITY);
}

function insertPlacement(insert: Entity, { base }: DxfBlock, log: DxfLog): Placement {
  if (numberOf(insert, 70, 1, log) > 1 || numberOf(insert, 71, 1, log) > 1)
    log.unread(insert.line, 'rows and columns of an INSERT', 'only the first is read');
  const [sx, sy] = [scaleOr1(insert, 41, log), scaleOr1(insert, 42, log)];
  const angle = numberOr0(insert, 50, log) * DEG;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const [x, y] = [numberOr0(insert, 10, log), numberOr0(insert, 20, log)];
  const [a, b, c, d] = [cos * sx, sin * sx, -sin * sy, cos * sy];
  return { a, b, c, d, e: x - a * base.x - c * base.y, f: y - b * base.x - d * base.y };
}

/** What is no number has been said; the block stays where it is. */
function numberOr0(insert: Entity, code: number, log: DxfLog): number {
  const value = numberOf(insert, code, 0, log);
  return Number.isFinite(value) ? value : 0;
}

function noBlock(insert: Entity) {
  const name = quoted(textOf(insert, 2));
  return {
    code: 'DXF_NO_BLOCK',
    line: insert.line,
    found: `an INSERT of ${name}`,
    allowed: 'the name of a block of this file',
    message: `The INSERT at line ${insert.line} names the block ${name}, which the file does not have.`,
    action: 'Add the block, or leave the INSERT out.',
  };
}

function tooDeep(insert: Entity, log: DxfLog) {
  const most = log.limits.insertDepth;
  return {
    code: 'DXF_INSERT_DEPTH',
    line: insert.line,
    found: `blocks more than ${most} deep within each other`,
    allowed: `at most ${most} deep; ASTM D6673 has none`,
    message: `The INSERT at line ${insert.line} lies more than ${most} blocks deep; a block may contain itself.`,
    action: 'Draw each piece in one block.',
  };
}

function tooMany(entity: Entity, log: DxfLog) {
  const most = log.limits.nested;
  return {
    code: 'DXF_TOO_MANY_ENTITIES',
    line: entity.line,
    found: `more than ${most} entities in blocks within blocks`,
    allowed: `at most ${most}`,
    message: `With blocks put into blocks, the file has more than ${most} entities; the rest was not read.`,
    action: 'Draw each piece in one block.',
  };
}
