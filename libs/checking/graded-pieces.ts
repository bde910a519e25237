import { add, distance, lerp, norm, scale, way, type Point } from '#geometry';
import {
  offRing,
  type ForeignLine,
  type ForeignPiece,
  type ForeignPoint,
  type GradeRuleTable,
} from '#interchange';
import { PointIndex } from './point-index.js';
import { footOnRing } from './ring-reach.js';
import { POINTS_MAX, turnDeg } from './seam-outline.js';

/** A place that a rule moves, in the frame of its piece. */
export interface RuledPlace extends Point {
  readonly by: Point;
}

/** Rules, marks and points of one piece at most; a piece with more is not graded. */
const MARKS_GRADED_MAX = 2_000;
/** How often the points of a file may be laid against its outlines. */
const EFFORT_MAX = 20_000_000;

/** The number of a rule without its alternate: "12, 14" says 12 first. */
export function ruleNumber(text: string): string {
  return text.split(',')[0].trim();
}

/**
 * The places of a piece that rules move for one size, and by how much.
 *
 * The axes of a rule are those of the grade reference line, else those of the drawing. A half that was unfolded moves
 * mirrored on its other side.
 * Source  ASTM D6673-10, read in secondary sources.
 */
export function ruledPlaces(piece: ForeignPiece, table: GradeRuleTable, size: string): RuledPlace[] {
  const column = table.sizes.indexOf(size);
  const [from, to] = piece.gradeReference ?? [ORIGIN, { x: 1, y: 0 }];
  const reach = way(from, to);
  const axis = norm(reach) > 0 ? scale(reach, 1 / norm(reach)) : { x: 1, y: 0 };
  const places = piece.gradeRules.flatMap(({ rule, at }) => {
    const move = table.rules.get(ruleNumber(rule))?.[column];
    return move === undefined
      ? []
      : [
          {
            ...plain(at),
            by: { x: move.x * axis.x - move.y * axis.y, y: move.x * axis.y + move.y * axis.x },
          },
        ];
  });
  const { mirror, unfolded } = piece;
  if (!unfolded || mirror === undefined) return places;
  const fold = way(mirror[0], mirror[1]);
  const flip = (p: Point): Point => {
    const along = (2 * (p.x * fold.x + p.y * fold.y)) / (fold.x * fold.x + fold.y * fold.y);
    return { x: along * fold.x - p.x, y: along * fold.y - p.y };
  };
  return [
    ...places,
    ...places.map((place) => ({ ...add(mirror[0], flip(way(mirror[0], place))), by: flip(place.by) })),
  ];
}

const ORIGIN: Point = { x: 0, y: 0 };

/**
 * Pieces of the sample size as rules make them in another size.
 *
 * Shape   points that have a rule move by it. Between two of them a line moves in proportion to its length, which the
 *         standard leaves to whoever reads it. A seam line without rules of its own takes those of the nearest corners of
 *         the cut line; notches and the ends of inner lines go with the line they lie on.
 * Edges   pieces without rules stay as they are. Pieces that nobody can grade with a bounded effort are left out, and
 *         `dense` has them. The points of the result stand in no file, so they cannot be corrected there.
 */
export function gradedPieces(
  pieces: readonly ForeignPiece[],
  table: GradeRuleTable,
  size: string,
): { readonly graded: ForeignPiece[]; readonly dense: ForeignPiece[] } {
  const graded: ForeignPiece[] = [];
  const dense: ForeignPiece[] = [];
  let left = EFFORT_MAX;
  for (const piece of pieces) {
    const places = piece.gradeRules.length > MARKS_GRADED_MAX ? [] : ruledPlaces(piece, table, size);
    const effort = effortOf(piece, places);
    if (piece.boundary === undefined || piece.gradeRules.length === 0) graded.push(piece);
    else if (effort > left || piece.gradeRules.length > MARKS_GRADED_MAX) dense.push(piece);
    else {
      left -= effort;
      graded.push(
        places.length === 0 ? piece : { ...new Grading(piece, piece.boundary, places).piece(), size },
      );
    }
  }
  return { graded, dense };
}

function effortOf(
  { boundary, sewLines, internalLines, cutouts, notches, drillHoles }: ForeignPiece,
  places: readonly Point[],
): number {
  const cut = boundary?.points.length ?? 0;
  const lines = [...sewLines, ...internalLines, ...cutouts];
  const longest = lines.reduce((most, { points }) => Math.max(most, points.length), cut);
  if (longest > POINTS_MAX) return Infinity;
  const points = lines.reduce((sum, each) => sum + each.points.length, cut);
  return (2 * internalLines.length + notches.length + drillHoles.length) * cut + points * (4 + places.length);
}

class Grading {
  private readonly ruled: PointIndex<RuledPlace>;
  private readonly cut: Moves;

  constructor(
    private readonly given: ForeignPiece,
    private readonly boundary: ForeignLine,
    private readonly places: readonly RuledPlace[],
  ) {
    this.ruled = new PointIndex(places);
    this.cut = this.ringMoves(boundary);
  }

  piece(): ForeignPiece {
    const { given, boundary, cut } = this;
    const sew = given.sewLines.map((line) => ({ line, moves: this.ringMoves(line) }));
    const vertices = new PointIndex([
      ...placed(boundary, cut),
      ...sew.flatMap(({ line, moves }) => placed(line, moves)),
    ]);
    const marks = (points: readonly ForeignPoint[]): ForeignPoint[] =>
      points.flatMap((p) => {
        const by = this.ruled.at(p)?.by ?? vertices.at(p)?.by;
        return by === undefined ? [] : [add(p, by)];
      });
    const withMark = <M extends { readonly at: ForeignPoint }>(mark: M): M => ({
      ...mark,
      at: add(mark.at, this.byAt(mark.at)),
    });
    return {
      ...given,
      boundary: moved(boundary, cut),
      sewLines: sew.map(({ line, moves }) => moved(line, moves)),
      internalLines: given.internalLines.map((line) => moved(line, this.innerMoves(line))),
      cutouts: given.cutouts.map((line) => moved(line, this.innerMoves(line))),
      turnPoints: marks(given.turnPoints),
      curvePoints: marks(given.curvePoints),
      notches: given.notches.map(withMark),
      drillHoles: given.drillHoles.map(withMark),
      // They stand for the curves of the sample size.
      validation: [],
    };
  }

  /** How the vertices of a closed line move: by its own rules, else by those of the corners nearest to its own. */
  private ringMoves(line: ForeignLine): Moves {
    const own = line.points.map((p) => this.ruled.at(p)?.by);
    if (own.some((by) => by !== undefined)) return between(line, own);
    const corners = line.points.map((p, i) =>
      Math.abs(turnDeg(line.points, i)) >= CORNER_DEG ? this.nearest(p) : undefined,
    );
    return between(line, corners);
  }

  /** An inner line moves by its rules; its ends, and one without rules, go with the cut line where they lie at it. */
  private innerMoves(line: ForeignLine): Moves {
    const own = line.points.map((p) => this.ruled.at(p)?.by);
    const isRuled = own.some((by) => by !== undefined);
    if (line.closed) return between(line, isRuled ? own : [this.byAt(line.points[0])]);
    const last = line.points.length - 1;
    const goesAlong = (i: number): boolean =>
      (i === 0 || i === last) && (!isRuled || offRing(line.points[i], this.boundary.points) <= AT_EDGE_MM);
    return between(
      line,
      own.map((by, i) => by ?? (goesAlong(i) ? this.byAt(line.points[i]) : undefined)),
    );
  }

  private nearest(p: Point): Point | undefined {
    let best: RuledPlace | undefined;
    let leastMm = CORNER_REACH_MM;
    for (const place of this.places) {
      const mm = distance(place, p);
      if (mm < leastMm) [best, leastMm] = [place, mm];
    }
    return best?.by;
  }

  /** By its rule, else as the nearest place of the cut line goes. */
  private byAt(p: Point): Point {
    const ruled = this.ruled.at(p);
    if (ruled !== undefined) return ruled.by;
    const { side, share } = footOnRing(this.boundary.points, p);
    return lerp(this.cut[side], this.cut[(side + 1) % this.cut.length], share);
  }
}

/** How far each vertex of a line goes. */
type Moves = readonly Point[];

const CORNER_DEG = 25;
/** A corner of a seam line belongs to a corner of the cut line within this: two of the widest allowances. */
const CORNER_REACH_MM = 100;
/** An inner line that ends this near to the cut line, an allowance away, ends at it. */
const AT_EDGE_MM = 60;

/** What is known of some vertices of a line, for all of them: between two in proportion to its length. */
function between({ points, closed }: ForeignLine, known: readonly (Point | undefined)[]): Moves {
  const stops = known.flatMap((by, i) => (by === undefined ? [] : [i]));
  if (stops.length === 0) return points.map(() => ORIGIN);
  const along = [0];
  for (let i = 1; i <= points.length; i++)
    along.push(along[i - 1] + distance(points[i - 1], points[i % points.length]));
  const wholeMm = along[points.length];
  const by = (i: number): Point => known[i] ?? ORIGIN;
  let next = 0;
  return points.map((_, i) => {
    while (next < stops.length && stops[next] < i) next += 1;
    const isPast = next === stops.length;
    const isBefore = next === 0 && stops[0] > i;
    if (!closed && (isPast || isBefore)) return by(isPast ? stops[stops.length - 1] : stops[0]);
    const to = isPast ? stops[0] : stops[next];
    const from = next === 0 || isPast ? stops[stops.length - 1] : stops[next - 1];
    if (to === i) return by(i);
    const fromMm = along[from] - (from > i ? wholeMm : 0);
    const toMm = along[to] + (to < i ? wholeMm : 0);
    return lerp(by(from), by(to), toMm > fromMm ? (along[i] - fromMm) / (toMm - fromMm) : 0);
  });
}

function placed({ points }: ForeignLine, moves: Moves): RuledPlace[] {
  return points.map((p, i) => ({ ...plain(p), by: moves[i] }));
}

function moved(line: ForeignLine, moves: Moves): ForeignLine {
  return { ...line, points: line.points.map((p, i) => add(p, moves[i])), doubled: [], repeats: [] };
}

function plain({ x, y }: Point): Point {
  return { x, y };
}
