import { distance, DEG, ringContains, type Point } from '#geometry';
import { chained, lineOfStroke } from './dxf-chains.js';
import { numberOf, textOf, type Entity } from './dxf-entities.js';
import type { DxfGroup, PlacedEntity } from './dxf-groups.js';
import { quoted, type DxfLog } from './dxf-log.js';
import { isDrawn, placedPoint, pointOf, scaleOf, strokeOf, wordsOf, type Stroke } from './dxf-strokes.js';
import { gradeRule, isStyleText, systemText } from './dxf-texts.js';
import type {
  ForeignLine,
  ForeignNotch,
  ForeignPiece,
  ForeignPoint,
  ForeignText,
  NotchShape,
} from './foreign-pattern.js';
import { boxOf, offBox, offRing, type Box } from './rings.js';
import { unfolded } from './unfold.js';

const NOTCH_SHAPES: Readonly<Record<number, NotchShape>> = { 80: 't', 81: 'castle', 82: 'check', 83: 'u' };
const NOTCH_LAYERS = [4, 80, 81, 82, 83];

/** Parts of a group before it is known to which piece they belong. */
interface Parts {
  readonly strokes: readonly (Stroke & { readonly layer: number })[];
  readonly points: readonly MarkPoint[];
  readonly texts: readonly ForeignText[];
}

interface MarkPoint {
  readonly at: ForeignPoint;
  readonly layer: number;
  readonly depthMm: number;
  readonly widthMm: number;
  readonly angleDeg: number | undefined;
  readonly line: number;
}

/** The pieces of one group: as many as it has lines on layer 1 that lie in no other. */
export function piecesOf(group: DxfGroup, log: DxfLog): ForeignPiece[] {
  const parts = partsOf(group.items, log);
  const cuts = chained(
    parts.strokes.filter(({ layer }) => layer === 1),
    1,
  );
  if (cuts.length === 0) {
    for (const { layer, line, kind } of parts.strokes)
      log.unread(line, `${kind} on layer ${layer}`, `${group.name} has no cut line on layer 1`);
    for (const { line, layer } of parts.points)
      log.unread(line, `POINT on layer ${layer}`, `${group.name} has no cut line on layer 1`);
    return [];
  }
  const outer = outermost(cuts, group, log);
  if (outer.length === 1) return [pieceOf(group.name, group.line, outer[0], cuts, parts, log)];
  const rings = new Rings(outer);
  const shared = sharedOut(parts, rings, outer.length);
  const inside = cuts
    .filter((cut) => !outer.includes(cut))
    .map((cut) => ({ cut, ring: rings.nearest(cut.points[0]) }));
  return outer.map((boundary, i) => {
    const inner = inside.filter(({ ring }) => ring === i).map(({ cut }) => cut);
    const called = group.name === 'ENTITIES' ? `piece ${i + 1}` : `${group.name} ${i + 1}`;
    return pieceOf(called, boundary.line, boundary, [boundary, ...inner], shared[i], log);
  });
}

function partsOf(items: readonly PlacedEntity[], log: DxfLog): Parts {
  const strokes: (Stroke & { layer: number })[] = [];
  const points: MarkPoint[] = [];
  const texts: ForeignText[] = [];
  for (const item of items) {
    const { entity, placement } = item;
    if (TEXT_KINDS.has(entity.kind)) texts.push(textPart(item, log));
    else if (!isDrawn(entity) && entity.kind !== 'POINT')
      log.unread(entity.line, entity.kind, WHY_NOT[entity.kind] ?? 'it has no meaning in a pattern');
    else {
      const layer = layerOf(entity);
      if (layer === undefined || !LAYERS.has(layer))
        log.unread(
          entity.line,
          `${entity.kind} on layer ${quoted(textOf(entity, 8))}`,
          'the layer is none of ASTM D6673',
        );
      else if (entity.kind === 'POINT') points.push(...markPoint(item, layer, log));
      else {
        const stroke = strokeOf(entity, placement, log);
        if (stroke?.points.every(isNear) === true) strokes.push({ ...stroke, layer });
        else if (stroke !== undefined)
          log.unread(entity.line, entity.kind, 'it lies further away than any pattern');
      }
    }
  }
  return { strokes, points, texts };
}

/** A hundred metres from the origin there is no pattern, and a number of a millimetre has no decimals left. */
function isNear({ x, y }: Point): boolean {
  return Math.abs(x) <= 1e5 && Math.abs(y) <= 1e5;
}

const TEXT_KINDS = new Set(['TEXT', 'MTEXT', 'ATTRIB']);
const LAYERS = new Set([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 14, 15, 80, 81, 82, 83, 84, 85, 86, 87]);
const WHY_NOT: Readonly<Record<string, string>> = {
  DIMENSION: 'a dimension is no part of the piece',
  HATCH: 'a hatch is no part of the piece',
  VIEWPORT: 'it belongs to a page layout',
  ATTDEF: 'it is a form for texts, not a text',
  VERTEX: 'it stands outside of a POLYLINE',
};

/** "1", "01" and "Layer 1" are the same layer. */
function layerOf(entity: Entity): number | undefined {
  const found = /^(?:layer[ _-]?)?0*(\d{1,2})$/i.exec(textOf(entity, 8).trim());
  return found === null ? undefined : Number(found[1]);
}

function textPart({ entity, placement }: PlacedEntity, log: DxfLog): ForeignText {
  const [x, y] = [numberOf(entity, 10, 0, log), numberOf(entity, 20, 0, log)];
  const at = Number.isFinite(x + y) ? { x, y } : { x: 0, y: 0 };
  return {
    text: wordsOf(entity),
    at: placedPoint(placement, at),
    layer: layerOf(entity) ?? 0,
    line: entity.line,
  };
}

function markPoint({ entity, placement }: PlacedEntity, layer: number, log: DxfLog): MarkPoint[] {
  const at = pointOf(entity, 10, placement, log);
  if (at === undefined || !isNear(at) || !log.takePoints(1, entity.line)) return [];
  const mm = scaleOf(placement);
  const angle = numberOf(entity, 50, Number.NaN, log);
  const turned = turnedBy(angle, placement);
  return [
    {
      at,
      layer,
      depthMm: mm * numberOf(entity, 30, 0, log),
      widthMm: mm * numberOf(entity, 39, 0, log),
      angleDeg: Number.isFinite(angle) ? turned : undefined,
      line: entity.line,
    },
  ];
}

function turnedBy(angleDeg: number, { a, b, c, d }: PlacedEntity['placement']): number {
  const [x, y] = [Math.cos(angleDeg * DEG), Math.sin(angleDeg * DEG)];
  return Math.atan2(b * x + d * y, a * x + c * y) / DEG;
}

/** Closed lines that lie in no other; the longest line where none is closed. */
function outermost(cuts: readonly ForeignLine[], group: DxfGroup, log: DxfLog): ForeignLine[] {
  const closed = cuts.filter((cut) => cut.closed && cut.points.length > 2);
  const ringsMax = 2 * log.limits.pieces;
  if (closed.length > ringsMax) log.problem(tooManyRings(group, closed.length, ringsMax));
  const rings = closed.slice(0, ringsMax);
  if (rings.length === 0) return [cuts.reduce((best, cut) => (pathMm(cut) > pathMm(best) ? cut : best))];
  const boxes = rings.map(({ points }) => boxOf(points));
  return rings.filter(
    ({ points }, i) =>
      !rings.some(
        (other, k) =>
          k !== i &&
          offBox(points[0], boxes[k]) === 0 &&
          size(boxes[k]) > size(boxes[i]) &&
          ringContains(other.points, points[0]),
      ),
  );
}

function tooManyRings({ name, line }: DxfGroup, found: number, most: number) {
  return {
    code: 'DXF_TOO_MANY_PIECES',
    line,
    found: `${found} closed lines on layer 1 in ${name}`,
    allowed: `at most ${most}`,
    message: `${name} has ${found} closed lines on layer 1; the first ${most} were read.`,
    action: 'Draw each piece in a block of its own, and its cutouts on layer 11.',
  };
}

function size({ left, right, bottom, top }: Box): number {
  return (right - left) * (top - bottom);
}

function pathMm({ points }: ForeignLine): number {
  return points.reduce((sum, p, i) => (i === 0 ? 0 : sum + distance(points[i - 1], p)), 0);
}

/** Rings with their boxes, to find the one that a point belongs to. */
class Rings {
  private readonly boxes: readonly Box[];

  constructor(private readonly rings: readonly ForeignLine[]) {
    this.boxes = rings.map(({ points }) => boxOf(points));
  }

  nearest(p: Point): number {
    let best = 0;
    let bestMm = Infinity;
    for (const [i, { points }] of this.rings.entries()) {
      if (offBox(p, this.boxes[i]) >= bestMm) continue;
      const mm = ringContains(points, p) ? 0 : offRing(p, points);
      if (mm < bestMm) [best, bestMm] = [i, mm];
      if (mm === 0) break;
    }
    return best;
  }
}

function sharedOut(parts: Parts, rings: Rings, count: number): Parts[] {
  const shares = Array.from({ length: count }, () => ({
    strokes: [] as (Stroke & { layer: number })[],
    points: [] as MarkPoint[],
    texts: [] as ForeignText[],
  }));
  // A line that hangs over is better placed by its middle than by its end.
  for (const stroke of parts.strokes)
    if (stroke.layer !== 1) shares[rings.nearest(middleOf(stroke.points))].strokes.push(stroke);
  for (const point of parts.points) shares[rings.nearest(point.at)].points.push(point);
  for (const text of parts.texts) shares[rings.nearest(text.at)].texts.push(text);
  return shares;
}

function middleOf(points: readonly Point[]): Point {
  const [a, b] = [points[Math.floor((points.length - 1) / 2)], points[Math.floor(points.length / 2)]];
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
}

function pieceOf(
  block: string,
  line: number,
  boundary: ForeignLine,
  cuts: readonly ForeignLine[],
  { strokes, points, texts }: Parts,
  log: DxfLog,
): ForeignPiece {
  const on = (layer: number): (Stroke & { readonly layer: number })[] =>
    strokes.filter((stroke) => stroke.layer === layer);
  const marks = (layer: number): MarkPoint[] => points.filter((point) => point.layer === layer);
  const said = textsOf(texts, block, log);
  const straight = (layer: number, what: string): readonly [Point, Point] | undefined =>
    lineOn(on(layer), layer, what, log);
  const drawn = {
    block,
    line,
    ...said,
    boundary,
    sewLines: chained(on(14), 14),
    internalLines: innerLines(on(8)),
    cutouts: [...cuts.filter((cut) => cut !== boundary), ...chained(on(11), 11)],
    turnPoints: marks(2).map(({ at }) => at),
    curvePoints: marks(3).map(({ at }) => at),
    notches: NOTCH_LAYERS.flatMap((layer) => [
      ...marks(layer).map((mark) => notchOf(mark)),
      ...on(layer).flatMap((stroke) => drawnNotch(stroke, boundary, log)),
    ]),
    drillHoles: [
      ...marks(13).map(({ at, depthMm, line: at13 }) => ({ at, diameterMm: depthMm, line: at13 })),
      ...on(13).map(roundHole),
    ],
    grain: straight(7, 'grain line'),
    mirror: straight(6, 'mirror line'),
    gradeReference: straight(5, 'grade reference line'),
    clothLines: [...on(9), ...on(10)].map((stroke) => lineOfStroke(stroke, stroke.layer)),
    validation: [84, 85, 86, 87].flatMap((layer) => chained(on(layer), layer)),
    unfolded: false,
  };
  for (const { line: at, layer } of points)
    if (![2, 3, 13, ...NOTCH_LAYERS].includes(layer))
      log.unread(at, `POINT on layer ${layer}`, 'a point has no meaning on this layer');
  for (const { line: at, layer, kind } of strokes)
    if ([2, 3, 15].includes(layer))
      log.unread(at, `${kind} on layer ${layer}`, 'a line has no meaning on this layer');
  return drawn.mirror === undefined ? drawn : unfolded(drawn, drawn.mirror, log);
}

/** Polylines by themselves, single lines and arcs put together where they meet. */
function innerLines(strokes: readonly Stroke[]): ForeignLine[] {
  const isWhole = ({ kind }: Stroke): boolean => kind.includes('POLYLINE');
  return [
    ...strokes.filter(isWhole).map((stroke) => lineOfStroke(stroke, 8)),
    ...chained(
      strokes.filter((stroke) => !isWhole(stroke)),
      8,
    ),
  ];
}

function notchOf({ at, layer, depthMm, widthMm, angleDeg, line }: MarkPoint): ForeignNotch {
  const shape = NOTCH_SHAPES[layer] ?? (widthMm > 0 ? 'v' : 'slit');
  return {
    at,
    shape,
    depthMm: Math.abs(depthMm),
    widthMm,
    ...(angleDeg === undefined ? {} : { angleDeg }),
    line,
  };
}

/** A notch drawn as a short line from the edge inwards, or as a corner with its tip inside. */
function drawnNotch({ points, line, kind }: Stroke, boundary: ForeignLine, log: DxfLog): ForeignNotch[] {
  if (points.length === 3) {
    const [a, tip, b] = points;
    const at = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
    return [
      {
        at,
        shape: 'v',
        depthMm: distance(at, tip),
        widthMm: distance(a, b),
        angleDeg: angleOf(at, tip),
        line,
      },
    ];
  }
  if (points.length !== 2) {
    log.unread(
      line,
      `${kind} of ${points.length} points on a notch layer`,
      'a notch is a point, a line or a corner',
    );
    return [];
  }
  const [first, second] = points;
  const firstOutside = offRing(first, boundary.points) <= offRing(second, boundary.points);
  const [at, tip] = firstOutside ? [first, second] : [second, first];
  return [{ at, shape: 'slit', depthMm: distance(at, tip), widthMm: 0, angleDeg: angleOf(at, tip), line }];
}

function angleOf(from: Point, to: Point): number {
  return Math.atan2(to.y - from.y, to.x - from.x) / DEG;
}

function roundHole({ points, line }: Stroke): ForeignPiece['drillHoles'][number] {
  const { left, right, bottom, top } = boxOf(points);
  return { at: { x: (left + right) / 2, y: (bottom + top) / 2 }, diameterMm: right - left, line };
}

function lineOn(
  strokes: readonly Stroke[],
  layer: number,
  what: string,
  log: DxfLog,
): readonly [Point, Point] | undefined {
  const [first, ...more] = [...strokes].sort((a, b) => pathMm(asLine(b)) - pathMm(asLine(a)));
  for (const { line, kind } of more)
    log.unread(
      line,
      `${kind} on layer ${layer}`,
      `the piece has more than one line there; the longest is its ${what}`,
    );
  return first === undefined ? undefined : [first.points[0], first.points[first.points.length - 1]];
}

function asLine(stroke: Stroke): ForeignLine {
  return { ...stroke, layer: 0, kinds: [], doubled: [], repeats: [] };
}

type Said = Pick<ForeignPiece, 'name' | 'size' | 'quantity' | 'texts' | 'annotations' | 'gradeRules'>;

function textsOf(texts: readonly ForeignText[], block: string, log: DxfLog): Said {
  const byIdentifier: Record<string, string> = {};
  const annotations: ForeignText[] = [];
  const gradeRules: { rule: string; at: Point; line: number }[] = [];
  for (const each of texts) {
    const system = systemText(each.text);
    const rule = gradeRule(each.text);
    if (system !== undefined && !isStyleText(system.identifier)) {
      if (byIdentifier[system.identifier] === undefined) byIdentifier[system.identifier] = system.value;
      else log.unread(each.line, `a second ${system.identifier}`, `${block} has one already`);
    } else if (rule !== undefined) gradeRules.push({ rule, at: each.at, line: each.line });
    else if (system === undefined && each.text !== '') annotations.push(each);
  }
  const quantity = quantityOf(byIdentifier['Quantity']);
  const size = byIdentifier['Size Name'];
  return {
    name: byIdentifier['Piece Name'] || block,
    ...(size === undefined || size === '' ? {} : { size }),
    ...(quantity === undefined ? {} : { quantity }),
    texts: byIdentifier,
    annotations,
    gradeRules,
  };
}

function quantityOf(text: string | undefined): { asDrawn: number; mirrored: number } | undefined {
  const found = /^\s*(\d{1,3})\s*,\s*(\d{1,3})\s*$/.exec(text ?? '');
  return found === null ? undefined : { asDrawn: Number(found[1]), mirrored: Number(found[2]) };
}
