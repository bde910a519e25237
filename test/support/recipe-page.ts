import { at, line, mapCurve, pointAt, startOf, type Curve, type Point } from '#geometry';
import type { AddedPiece, Block, Piece } from '#pattern';
import {
  BUILT_IN_RECIPES,
  builtInRecipe,
  runRecipe,
  type ParameterValues,
  type Recipe,
  type RecipeResult,
} from '#recipes';
import { fixesThatStand, TRADE_RULES, trueBlock, type AppliedFix } from '#truing';
import { WORKED_BLOCK } from '../../libs/truing/worked-block.fixture.js';

/** The wearer of the worked example: invented. */
export const WORKED_WEARER = {
  heelGirthMm: 310,
  calfGirthMm: 360,
  kneeGirthMm: 370,
  thighGirthMm: 585,
  waistGirthMm: 740,
  hipGirthMm: 1000,
  pointer: '/alterations/0/with',
};
const TOLERANCES = { lengthMm: 1e-3 };

/** A built-in recipe run on a block. */
export function altered(
  name: string,
  values: ParameterValues = {},
  block: Block = WORKED_BLOCK,
  wearer: Parameters<typeof runRecipe>[3] = WORKED_WEARER,
): RecipeResult {
  const recipe = builtInRecipe(name);
  if (recipe === undefined) throw new Error(`no recipe is named ${name}`);
  return runRecipe(recipe, values, block, wearer, TOLERANCES);
}

/** Whether it sews; `from` is the block it was made of, with what was agreed about it. */
export function sewable(
  { block, intendedStretchMm = 0 }: RecipeResult,
  from: { readonly block: Block; readonly fixes: readonly AppliedFix[] } = { block, fixes: [] },
): boolean {
  const fixes = fixesThatStand(from.fixes, from.block, block);
  return trueBlock(block, { ...TRADE_RULES, intendedStretchMm }, fixes).sewable;
}

/** What became of two recipes, one after the other, at their defaults on the worked example's block. */
export interface Pair {
  readonly first: string;
  readonly second: string;
  readonly outcome: 'sewable' | 'refused' | 'said' | 'off';
  /** The codes of what refused it or was said of it. */
  readonly codes: readonly string[];
}

export function pairs(): Pair[] {
  return BUILT_IN_RECIPES.flatMap(({ name: first }) => {
    const one = altered(first);
    return BUILT_IN_RECIPES.map(({ name: second }): Pair => pairOf(first, second, one));
  });
}

function pairOf(first: string, second: string, one: RecipeResult): Pair {
  const two = altered(second, {}, one.block);
  const loud = two.findings.filter(({ level }) => level !== 'info').map(({ code }) => code);
  if (two.refused) return { first, second, outcome: 'refused', codes: loud };
  const stretchMm = two.intendedStretchMm ?? one.intendedStretchMm ?? 0;
  if (!sewable({ ...two, intendedStretchMm: stretchMm }))
    return { first, second, outcome: 'off', codes: loud };
  return { first, second, outcome: loud.length > 0 ? 'said' : 'sewable', codes: loud };
}

/** `docs/recipes.md`: every built-in recipe with its drawing and amounts, and what each pair of them comes to, as `pairs` found. */
export function recipePage(table: readonly Pair[]): string {
  return [
    '# Recipes that come with the service',
    '',
    'Written by `UPDATE_DOCS=1` in `libs/recipes/built-in/built-in.spec.ts`, which fails when this page is out of date.',
    "Each drawing is the worked example's block (grey) and what the recipe makes of it at its default amounts (black):",
    'front left, back right, inseams towards each other. Amounts are common practice, no source.',
    '',
    ...BUILT_IN_RECIPES.flatMap(recipeSection),
    ...FINDINGS,
    ...pairTable(table),
    '',
  ].join('\n');
}

const FINDINGS = [
  '## What a recipe says at its default amounts',
  '',
  'On a sound block a recipe at its defaults gives no warning and no stop. What it may say:',
  '',
  '| | why |',
  '|---|---|',
  '| `info` | A fact of the style that the cutter wants before cutting, whoever wears it: `RISES_STRAIGHT`, `RISE_NEAR_BIAS`, `BACK_FULLNESS_LOST`, `BAND_CHANGED`, `EASE_INTO_BAND` and the like. Nothing has to be decided. |',
  '| `HEM_TAPER_REDUCED` as `info` | The usual taper is a most: where the foot would not pass, the hem goes in by less and the figure is told. Asked for more than usual, it is a warning, because somebody does not get what was ordered. |',
  '| `HEM_FOOT_ESTIMATED`, `HEM_FOOT_NOT_CHECKED` | Nobody took the girth round heel and instep. |',
  '| `NO_DART`: refused | No guard: a recipe for darts does not apply to a block that has none, and does not begin. |',
  '| `HEM_BELOW_FLOOR` | About the block: its hem lay on the floor before it was lengthened. |',
  '',
];

function recipeSection(recipe: Recipe): string[] {
  const { reports } = altered(recipe.name);
  const told = reports.map(({ name, value, quantity }) =>
    quantity === 'length' ? `${name} ${Number(value).toFixed(1)} mm` : `${name} ${String(value)}`,
  );
  return [
    `## ${recipe.title}: \`${recipe.name}\``,
    '',
    `${recipe.summary}${told.length === 0 ? '' : ` Here: ${told.join(', ')}.`}`,
    '',
    `![${recipe.title}](pictures/recipes/${recipe.name}.svg)`,
    '',
    '| amount | default | range | |',
    '|---|---|---|---|',
    ...recipe.parameters.map((parameter) =>
      'oneOf' in parameter
        ? `| \`${parameter.name}\` | ${parameter.default} | ${parameter.oneOf.join(', ')} | ${parameter.help} |`
        : `| \`${parameter.name}\` | ${parameter.default}${unitOf(parameter)} | ${parameter.min} to ${parameter.max} | ${parameter.help} |`,
    ),
    '',
  ];
}

function unitOf({ quantity, shareOf }: { readonly quantity: string; readonly shareOf?: string }): string {
  if (quantity === 'length' && shareOf === undefined) return ' mm';
  return quantity === 'angle' ? ' degrees' : '';
}

function pairTable(table: readonly Pair[]): string[] {
  const reasons = [
    ...new Set(table.filter(({ outcome }) => outcome !== 'sewable').flatMap(({ codes }) => codes)),
  ];
  const numbers = new Map(BUILT_IN_RECIPES.map(({ name }, i) => [name, i + 1]));
  const cell = (first: string, second: string): string => {
    const pair = table.find((candidate) => candidate.first === first && candidate.second === second);
    if (pair === undefined || pair.outcome === 'sewable') return '✓';
    return `${pair.outcome === 'refused' ? '✗' : '!'} ${pair.codes.map((code) => reasons.indexOf(code) + 1).join(' ')}`;
  };
  return [
    '## Any two, one after the other',
    '',
    'First the recipe of the row, then the recipe of the column, at their defaults. ✓ sewable and nothing to warn of;',
    '! sewable with a warning or stop that says why it should not be cut; ✗ refused. Numbers are the reasons below.',
    '',
    `| first \\ then | ${BUILT_IN_RECIPES.map(({ name }) => numbers.get(name)).join(' | ')} |`,
    `|---|${BUILT_IN_RECIPES.map(() => '---|').join('')}`,
    ...BUILT_IN_RECIPES.map(
      ({ name: first }) =>
        `| ${numbers.get(first) ?? 0} ${first} | ${BUILT_IN_RECIPES.map(({ name }) => cell(first, name)).join(' | ')} |`,
    ),
    '',
    ...reasons.map((code, i) => `${i + 1}. \`${code}\``),
  ];
}

const SCALE = 0.25;
const MARGIN = 8;
/** Between front and back, in mm of the garment. */
const APART_MM = 60;

/** A small drawing of a recipe at its defaults, before in grey and after in black. */
export function recipeDrawing({ name }: Recipe): string {
  const { block } = altered(name);
  const before = placed(WORKED_BLOCK, WORKED_BLOCK);
  const after = placed(block, WORKED_BLOCK);
  const points = [...before, ...after]
    .flat(2)
    .flatMap((curve) => [0, 0.25, 0.5, 0.75, 1].map((t) => pointAt(curve, t)));
  const xs = points.map(({ x }) => x);
  const ys = points.map(({ y }) => y);
  const [left, top] = [Math.min(...xs), Math.max(...ys)];
  const width = (Math.max(...xs) - left) * SCALE + 2 * MARGIN;
  const height = (top - Math.min(...ys)) * SCALE + 2 * MARGIN;
  const place = ({ x, y }: Point): string =>
    `${((x - left) * SCALE + MARGIN).toFixed(1)} ${((top - y) * SCALE + MARGIN).toFixed(1)}`;
  const path = (chain: readonly Curve[]): string =>
    `M${place(startOf(chain[0]))}${chain
      .map((curve) =>
        curve.kind === 'line'
          ? `L${place(curve.p1)}`
          : `C${place(curve.p1)} ${place(curve.p2)} ${place(curve.p3)}`,
      )
      .join('')}`;
  const drawn = (pieces: readonly (readonly Curve[][])[], stroke: string, strokeWidth: number): string =>
    pieces
      .flat()
      .map(
        (chain) => `<path d="${path(chain)}" fill="none" stroke="${stroke}" stroke-width="${strokeWidth}"/>`,
      )
      .join('');
  const size = `width="${width.toFixed(0)}" height="${height.toFixed(0)}"`;
  return `<svg xmlns="http://www.w3.org/2000/svg" ${size} viewBox="0 0 ${width.toFixed(0)} ${height.toFixed(0)}"><rect width="100%" height="100%" fill="white"/>${drawn(before, '#aaa', 1.6)}${drawn(after, '#000', 0.9)}</svg>\n`;
}

/** Outline, inner lines and added pieces as chains of curves: the front as it lies, the back mirrored beside it. */
function placed(block: Block, reference: Block): Curve[][][] {
  const reach = (piece: Piece): number =>
    Math.max(...piece.edges.flatMap(({ curve }) => [startOf(curve).x, pointAt(curve, 0.5).x]));
  const middle = Math.max(272, reach(reference.front)) + APART_MM + 272;
  const front = chainsOf(block.front);
  const back = chainsOf(block.back).map((chain) =>
    chain.map((curve) => mapCurve(curve, ({ x, y }) => ({ x: middle - x, y }))),
  );
  const added = (block.added ?? []).map((piece) => ringOf(piece, middle + 230));
  return [front, back, added];
}

function ringOf({ shape, lengthMm, widthMm }: AddedPiece, from: number): Curve[] {
  if (shape === 'diamond') {
    const high = Math.sqrt(lengthMm ** 2 - (widthMm / 2) ** 2);
    const x = from + widthMm / 2;
    return ring([at(x, 600 - high), at(from, 600), at(x, 600 + high), at(from + widthMm, 600)]);
  }
  const [bottom, top] = [30, 30 + lengthMm];
  return ring([at(from, bottom), at(from, top), at(from + widthMm, top), at(from + widthMm, bottom)]);
}

function ring(points: readonly Point[]): Curve[] {
  return points.map((p, i) => line(p, points[(i + 1) % points.length]));
}

const INNER_LINES = new Set(['fly', 'internal']);

function chainsOf(piece: Piece): Curve[][] {
  const inner = piece.lines.filter(({ role }) => INNER_LINES.has(role)).map(({ curves }) => [...curves]);
  return [piece.edges.map(({ curve }) => curve), ...inner];
}
