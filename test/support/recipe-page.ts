import { pointAt, startOf, type Curve, type Point } from '#geometry';
import type { Block, Piece } from '#pattern';
import {
  BUILT_IN_RECIPES,
  builtInRecipe,
  runRecipe,
  type ParameterValues,
  type Recipe,
  type RecipeResult,
} from '#recipes';
import { TRADE_RULES, trueBlock } from '#truing';
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

export function sewable({ block, intendedStretchMm = 0 }: RecipeResult): boolean {
  return trueBlock(block, { ...TRADE_RULES, intendedStretchMm }).sewable;
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

/** `docs/recipes.md`: every built-in recipe with its drawing and amounts, and what each pair of them comes to. */
export function recipePage(): string {
  return [
    '# Recipes that come with the service',
    '',
    'Written by `UPDATE_DOCS=1` in `libs/recipes/built-in/built-in.spec.ts`, which fails when this page is out of date.',
    "Each drawing is the worked example's block (grey) and what the recipe makes of it at its default amounts (black):",
    'front left, back right, inseams towards each other. Amounts are common practice, no source.',
    '',
    ...BUILT_IN_RECIPES.flatMap(recipeSection),
    ...pairTable(),
    '',
  ].join('\n');
}

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

function pairTable(): string[] {
  const table = pairs();
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
  const { block } = altered(name, DRAWN_WITH[name] ?? {});
  const before = placed(WORKED_BLOCK, WORKED_BLOCK);
  const after = placed(block, WORKED_BLOCK);
  const points = [...before, ...after].flat(2);
  const xs = points.map(({ x }) => x);
  const ys = points.map(({ y }) => y);
  const [left, top] = [Math.min(...xs), Math.max(...ys)];
  const width = (Math.max(...xs) - left) * SCALE + 2 * MARGIN;
  const height = (top - Math.min(...ys)) * SCALE + 2 * MARGIN;
  const path = (chain: readonly Point[]): string =>
    chain
      .map(({ x, y }, i) => {
        const at = `${((x - left) * SCALE + MARGIN).toFixed(1)} ${((top - y) * SCALE + MARGIN).toFixed(1)}`;
        return `${i === 0 ? 'M' : 'L'}${at}`;
      })
      .join('');
  const drawn = (pieces: readonly (readonly Point[][])[], stroke: string, strokeWidth: number): string =>
    pieces
      .flat()
      .map(
        (chain) => `<path d="${path(chain)}" fill="none" stroke="${stroke}" stroke-width="${strokeWidth}"/>`,
      )
      .join('');
  const size = `width="${width.toFixed(0)}" height="${height.toFixed(0)}"`;
  return `<svg xmlns="http://www.w3.org/2000/svg" ${size} viewBox="0 0 ${width.toFixed(0)} ${height.toFixed(0)}"><rect width="100%" height="100%" fill="white"/>${drawn(before, '#aaa', 1.6)}${drawn(after, '#000', 0.9)}</svg>\n`;
}

/** Where the default alone would hide what the recipe can do. */
const DRAWN_WITH: Readonly<Record<string, ParameterValues>> = {};

/** Outline, inner lines and added pieces as chains of points: the front as it lies, the back mirrored beside it. */
function placed(block: Block, reference: Block): Point[][][] {
  const reach = (piece: Piece): number =>
    Math.max(...piece.edges.flatMap(({ curve }) => [startOf(curve).x, pointAt(curve, 0.5).x]));
  const middle = Math.max(272, reach(reference.front)) + APART_MM + 272;
  const front = chainsOf(block.front);
  const back = chainsOf(block.back).map((chain) => chain.map(({ x, y }) => ({ x: middle - x, y })));
  const added = (block.added ?? []).map(({ shape, lengthMm, widthMm }): Point[] => {
    const from = middle + 230;
    if (shape === 'diamond') {
      const high = Math.sqrt(lengthMm ** 2 - (widthMm / 2) ** 2);
      const at = { x: from + widthMm / 2, y: 600 };
      return closed([
        { x: at.x, y: at.y - high },
        { x: at.x - widthMm / 2, y: at.y },
        { x: at.x, y: at.y + high },
        { x: at.x + widthMm / 2, y: at.y },
      ]);
    }
    return closed([
      { x: from, y: 30 },
      { x: from, y: 30 + lengthMm },
      { x: from + widthMm, y: 30 + lengthMm },
      { x: from + widthMm, y: 30 },
    ]);
  });
  return [front, back, added];
}

function closed(points: readonly Point[]): Point[] {
  return [...points, points[0]];
}

const INNER_LINES = new Set(['fly', 'internal']);
const CHORDS = 24;

function chainsOf(piece: Piece): Point[][] {
  const inner = piece.lines.filter(({ role }) => INNER_LINES.has(role)).flatMap(({ curves }) => curves);
  return [[...piece.edges.flatMap(({ curve }) => chordsOf(curve))], ...inner.map(chordsOf)];
}

function chordsOf(curve: Curve): Point[] {
  return Array.from({ length: CHORDS + 1 }, (_, i) => pointAt(curve, i / CHORDS));
}
