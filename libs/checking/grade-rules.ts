import type { Point } from '#geometry';
import { readRul, type ForeignPattern, type ForeignPiece, type GradeRuleTable } from '#interchange';
import { ASTM, CHOICE, type Found } from './check-report.js';
import { gradedPieces, ruleNumber } from './graded-pieces.js';
import { PointIndex } from './point-index.js';

/** More places than these say no more of a table. */
const NAMED_MAX = 20;

/** What came of the grade rule table that was sent beside a file. */
export interface Grading {
  readonly table: GradeRuleTable | undefined;
  readonly found: readonly Found[];
}

/**
 * A grade rule table, and whether it belongs to the pattern that it was sent with.
 *
 * Shape   findings of the table's own lines; of rules that the pattern names and the table has not, of rules that stand
 *         at no point, of corners that have none, of names and sample sizes that differ.
 * Edges   nothing is said of a pattern without rules that comes without a table.
 * Source  ASTM D6673-10, read in secondary sources: points that must not move need a rule of nothing.
 */
export function readGradeRules(pattern: ForeignPattern, text: string | undefined): Grading {
  const ruled = pattern.pieces.filter(({ gradeRules }) => gradeRules.length > 0);
  if (text === undefined) return { table: undefined, found: ruled.length === 0 ? [] : [noTable(ruled)] };
  const { table, problems } = readRul(text);
  const said = problems.map(({ code, message, action, found, allowed }): Found => ({
    code,
    level: table === undefined ? 'stop' : 'warning',
    message,
    action: `${action} Found: ${found}; allowed: ${allowed}.`,
    place: {},
    basis: ASTM,
  }));
  if (table === undefined) return { table, found: said };
  return {
    table,
    found: [
      ...said,
      ...namesThatDiffer(pattern, table),
      ...sampleThatMoves(table),
      ...rulesThatLack(ruled, table),
      ...rulesUnused(ruled, table),
      ...ruled.flatMap(rulesBesideTheirPoint),
      ...ruled.flatMap(cornersWithout),
    ],
  };
}

/** The pieces of a size that the file does not hold and its table does; undefined where there is no such size. */
export function piecesOfSize(
  { pieces }: ForeignPattern,
  { table }: Grading,
  size: string,
): { readonly pieces: ForeignPiece[]; readonly found: Found[] } | undefined {
  if (table?.sizes.includes(size) !== true) return undefined;
  const { sampleSize, name } = table;
  const ruled = pieces.filter(({ gradeRules }) => gradeRules.length > 0);
  if (rulesThatLack(ruled, table).length > 0) return { pieces: [], found: [notMade(size)] };
  const sample = pieces.filter((piece) => piece.size === undefined || piece.size === sampleSize);
  const { graded, dense } = gradedPieces(sample, table, size);
  const count = new Set(sample.flatMap(({ gradeRules }) => gradeRules.map(({ rule }) => ruleNumber(rule))))
    .size;
  return {
    pieces: graded,
    found: [
      {
        code: 'GRADED_BY_RULES',
        level: 'info',
        message: `Size ${size} was made from ${sampleSize === '' ? 'the pieces of the file' : `sample size ${sampleSize}`} by ${count} rules of ${name === '' ? 'the table' : `table ${name}`}: between two points that have a rule a line moves in proportion to its length, which the standard leaves open.`,
        action: 'Send a graded nest to have the curves of this size judged as they will be cut.',
        place: {},
        numbers: { rules: count },
        basis: ASTM,
      },
      ...withoutRules(sample, size),
      ...dense.map((piece): Found => ({
        code: 'PIECE_NOT_GRADED',
        level: 'stop',
        message: `${piece.name} has more rules, points and marks than can be graded, and was left out of size ${size}.`,
        action: 'Write lines with fewer points, or send a graded nest.',
        place: { piece: piece.block, line: piece.line },
        basis: CHOICE,
      })),
    ],
  };
}

/** Points without their rule would stand still while others move, and every seam between them would be found off. */
function notMade(size: string): Found {
  return {
    code: 'SIZE_NOT_MADE',
    level: 'stop',
    message: `Size ${size} was not made, and nothing of it was judged: the table lacks rules that its points have.`,
    action: 'Add the rules to the table, or send the table that was made with this pattern.',
    place: {},
    basis: ASTM,
  };
}

/** Of a trouser of which some pieces grade, one that has no rules is more often forgotten than meant. */
function withoutRules(sample: readonly ForeignPiece[], size: string): Found[] {
  const bare = sample.filter(({ gradeRules }) => gradeRules.length === 0);
  if (bare.length === 0) return [];
  const is = bare.length === 1 ? 'has' : 'have';
  return [
    {
      code: 'GRADE_PIECE_WITHOUT_RULES',
      level: 'warning',
      message: `${namesOf(bare)} ${is} no grade rules, and ${bare.length === 1 ? 'is' : 'are'} in size ${size} as in the sample size.`,
      action: 'Give its points rules, or rules of nothing where it is the same in every size.',
      place: { piece: bare[0].block, line: bare[0].line },
      numbers: { count: bare.length },
      basis: ASTM,
    },
  ];
}

function noTable(ruled: readonly ForeignPiece[]): Found {
  return {
    code: 'GRADE_TABLE_NOT_SENT',
    level: 'info',
    message: `Points of ${namesOf(ruled)} have grade rules, and no grade rule table was sent: they were not compared.`,
    action: 'Send the table (.RUL) as "gradeRules" to have its rules compared and other sizes judged.',
    place: { piece: ruled[0].block, line: ruled[0].gradeRules[0].line },
    basis: ASTM,
  };
}

function namesOf(pieces: readonly ForeignPiece[]): string {
  return listed(pieces.map(({ name }) => name));
}

function listed(words: readonly string[]): string {
  const more = words.length - NAMED_MAX;
  return `${words.slice(0, NAMED_MAX).join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
}

function namesThatDiffer({ texts }: ForeignPattern, { name, sampleSize }: GradeRuleTable): Found[] {
  const pairs = [
    {
      code: 'GRADE_TABLE_OTHER',
      what: 'grade rule table',
      file: texts['Grade Rule Table'] ?? '',
      table: name,
    },
    { code: 'GRADE_SAMPLE_OTHER', what: 'sample size', file: texts['Sample Size'] ?? '', table: sampleSize },
  ];
  return pairs
    .filter(({ file, table }) => file !== '' && table !== '' && file !== table)
    .map(({ code, what, file, table }) => ({
      code,
      level: 'warning',
      message: `The pattern says ${what} ${file}, the table that was sent says ${table}.`,
      action: 'Send the table that was made with this pattern, or correct the name.',
      place: {},
      basis: ASTM,
    }));
}

function sampleThatMoves({ rules, sizes, sampleSize }: GradeRuleTable): Found[] {
  const column = sizes.indexOf(sampleSize);
  const moving = [...rules].filter(
    ([, moves]) => column >= 0 && Math.hypot(moves[column].x, moves[column].y) > 1e-6,
  );
  if (moving.length === 0) return [];
  return [
    {
      code: 'GRADE_SAMPLE_MOVES',
      level: 'warning',
      message: `${moving.length === 1 ? 'Rule' : 'Rules'} ${listed(moving.map(([rule]) => rule))} of the table ${moving.length === 1 ? 'moves' : 'move'} points of the sample size ${sampleSize} itself.`,
      action: 'Write 0, 0 for the sample size: rules say how far other sizes lie from it.',
      place: {},
      numbers: { count: moving.length },
      basis: ASTM,
    },
  ];
}

/** Of each rule that the table has not, the first place. */
function rulesThatLack(ruled: readonly ForeignPiece[], { rules }: GradeRuleTable): Found[] {
  const lacking = new Map<
    string,
    { readonly piece: ForeignPiece; readonly at: Point; readonly line: number; count: number }
  >();
  for (const piece of ruled)
    for (const { rule, at, line } of piece.gradeRules) {
      const number = ruleNumber(rule);
      if (rules.has(number)) continue;
      const known = lacking.get(number);
      if (known === undefined) lacking.set(number, { piece, at, line, count: 1 });
      else known.count += 1;
    }
  return [...lacking].slice(0, NAMED_MAX).map(([rule, { piece, at, line, count }]) => ({
    code: 'GRADE_RULE_MISSING',
    level: 'stop',
    message: `${count === 1 ? 'A point' : `${count} points`} of the pattern ${count === 1 ? 'has' : 'have'} grade rule ${rule}, which the table does not hold.`,
    action: 'Add the rule to the table, or send the table that was made with this pattern.',
    place: { piece: piece.block, at, line },
    numbers: { points: count },
    basis: ASTM,
  }));
}

function rulesUnused(ruled: readonly ForeignPiece[], { rules }: GradeRuleTable): Found[] {
  const used = new Set(ruled.flatMap(({ gradeRules }) => gradeRules.map(({ rule }) => ruleNumber(rule))));
  const idle = [...rules.keys()].filter((rule) => !used.has(rule));
  if (idle.length === 0) return [];
  return [
    {
      code: 'GRADE_RULES_UNUSED',
      level: 'info',
      message: `No point of the pattern has rule ${listed(idle)} of the table.`,
      action: 'Nothing, if the table serves several styles.',
      place: {},
      numbers: { count: idle.length },
      basis: ASTM,
    },
  ];
}

function rulesBesideTheirPoint(piece: ForeignPiece): Found[] {
  const { boundary, sewLines, internalLines, cutouts, notches, drillHoles, turnPoints, curvePoints } = piece;
  const lines = [...(boundary === undefined ? [] : [boundary]), ...sewLines, ...internalLines, ...cutouts];
  const places = new PointIndex<Point>([
    ...lines.flatMap(({ points }) => points),
    ...[...notches, ...drillHoles].map(({ at }) => at),
    ...turnPoints,
    ...curvePoints,
  ]);
  const beside = piece.gradeRules.filter(({ at }) => !places.has(at));
  if (beside.length === 0) return [];
  return [
    {
      code: 'GRADE_RULE_OFF_POINT',
      level: 'warning',
      message: `${beside.length === 1 ? 'Grade rule' : 'Grade rules'} ${listed(beside.map(({ rule }) => rule))} of ${piece.name} ${beside.length === 1 ? 'stands' : 'stand'} at no point of it, and ${beside.length === 1 ? 'moves' : 'move'} nothing.`,
      action: 'Put the text of a rule exactly where its point is.',
      place: { piece: piece.block, at: beside[0].at, line: beside[0].line },
      numbers: { count: beside.length },
      basis: ASTM,
    },
  ];
}

function cornersWithout(piece: ForeignPiece): Found[] {
  const ruled = new PointIndex<Point>(piece.gradeRules.map(({ at }) => at));
  const corners = new PointIndex<Point>(piece.turnPoints);
  const without = (piece.boundary?.points ?? []).filter((p) => corners.has(p) && !ruled.has(p));
  if (without.length === 0) return [];
  return [
    {
      code: 'GRADE_POINT_WITHOUT_RULE',
      level: 'warning',
      message: `${without.length === 1 ? 'A turn point' : `${without.length} turn points`} of ${piece.name} ${without.length === 1 ? 'has' : 'have'} no grade rule, while others of it have: ${without.length === 1 ? 'it moves' : 'they move'} with the points beside.`,
      action: 'Give each turn point a rule; one that must not move needs a rule of nothing.',
      place: { piece: piece.block, at: without[0] },
      numbers: { count: without.length },
      basis: ASTM,
    },
  ];
}
