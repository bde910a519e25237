import { describe, expect, it } from '@jest/globals';
import { BUILT_IN_RECIPES, compileRecipe, recipeDifference, recipeReading, runRecipe } from '#recipes';
import { OPERATIONS } from '#alterations';
import { WORKED_BLOCK } from '../truing/worked-block.fixture.js';
import { HOUSE_STYLE } from '../../test/support/house-style.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { alterationRequest } from './alteration-request.js';
import { readRecipe } from './recipe.js';

const MUTANTS = IS_NIGHT ? 20_000 : 1_000;

/** What a reader may spend of its process's time on one recipe. Told at night only, when nothing else runs. */
const CPU_MS_MAX = 100;

const WEARER = {
  heelGirthMm: 310,
  calfGirthMm: 360,
  waistGirthMm: 740,
  hipGirthMm: 960,
  pointer: '/alterations/0/with',
};

type Json = null | boolean | number | string | Json[] | { [name: string]: Json };
type Random = () => number;

const SEEDS: readonly Json[] = [...BUILT_IN_RECIPES, HOUSE_STYLE].map(
  (recipe) => JSON.parse(JSON.stringify(recipe)) as Json,
);

describe('mutated recipes', () => {
  it('are read without a crash, and what is let through runs without one', () => {
    const random = mulberry32(SEED);
    const counts = { read: 0, ran: 0, refused: 0 };
    let slowestMs = 0;
    for (let i = 0; i < MUTANTS; i++) {
      const mutant = mutated(SEEDS[below(random, SEEDS.length)], random);
      const before = process.cpuUsage();
      const read = readRecipe(mutant);
      const spent = process.cpuUsage(before);
      slowestMs = Math.max(slowestMs, (spent.user + spent.system) / 1000);
      if (!read.ok) {
        expect(read.problems.length).toBeGreaterThan(0);
        expect(read.problems.length).toBeLessThanOrEqual(101);
        expect(read.problems.filter(({ message, action }) => message === '' || action === '')).toEqual([]);
        counts.refused++;
        continue;
      }
      counts.read++;
      expect(recipeReading(read.value, OPERATIONS).steps.length).toBeGreaterThan(0);
      if (counts.read % 20 === 0) recipeDifference(HOUSE_STYLE, read.value, OPERATIONS);
      const request = alterationRequest({ recipe: mutant }, 'from-body');
      const result = runRecipe(compileRecipe(read.value), request.with, WORKED_BLOCK, WEARER, {
        lengthMm: 0.01,
      });
      expect(result.findings.every(({ code, message }) => code !== '' && message !== '')).toBe(true);
      counts.ran++;
    }
    console.log(
      `recipe fuzz: FORKLINE_SEED=${SEED}`,
      JSON.stringify({ ...counts, slowestCpuMs: Math.round(slowestMs) }),
    );
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
    // Enough were let through that running was tried, and enough were not.
    expect(counts.ran).toBeGreaterThan(MUTANTS / 20);
    expect(counts.refused).toBeGreaterThan(MUTANTS / 5);
    if (IS_NIGHT) expect(slowestMs).toBeLessThan(CPU_MS_MAX);
  }, 3_600_000);
});

/** One to three changes anywhere in a recipe. */
function mutated(seed: Json, random: Random): Json {
  const copy = JSON.parse(JSON.stringify(seed)) as Json;
  const count = 1 + below(random, 3);
  for (let i = 0; i < count; i++) change(copy, random);
  return copy;
}

interface Spot {
  readonly parent: Json[] | { [name: string]: Json };
  readonly key: string | number;
}

function change(root: Json, random: Random): void {
  const spots = spotsOf(root);
  const { parent, key } = spots[below(random, spots.length)];
  const holder = parent as Record<string | number, Json>;
  const found = holder[key];
  switch (below(random, 8)) {
    case 0:
      if (Array.isArray(parent)) parent.splice(Number(key), 1);
      else delete holder[key];
      return;
    case 1:
      holder[key] = HOSTILE[below(random, HOSTILE.length)]();
      return;
    case 2: {
      const other = spots[below(random, spots.length)];
      holder[key] = JSON.parse(
        JSON.stringify((other.parent as Record<string | number, Json>)[other.key] ?? null),
      ) as Json;
      return;
    }
    case 3:
      if (Array.isArray(parent)) parent.splice(Number(key), 0, JSON.parse(JSON.stringify(found)) as Json);
      return;
    case 4:
      if (!Array.isArray(parent))
        Object.defineProperty(parent, NAMES[below(random, NAMES.length)], {
          value: found,
          enumerable: true,
          configurable: true,
          writable: true,
        });
      return;
    default:
      holder[key] = slipped(found, random);
  }
}

/** A small slip: a letter, a number, a word of the language. */
function slipped(found: Json, random: Random): Json {
  if (typeof found === 'number')
    return [found * -1, found * 1e6, found + 0.5, 0, Number.MAX_VALUE][below(random, 5)];
  if (typeof found !== 'string') return found;
  const at = below(random, found.length + 1);
  const piece = PIECES[below(random, PIECES.length)];
  return found.slice(0, at) + piece + found.slice(at + below(random, 3));
}

const PIECES = [
  '',
  ' ',
  '(',
  ')',
  '-',
  ' / 0',
  ' * 9999999',
  '{',
  '}',
  'e9',
  '.x',
  'this.',
  'front.',
  "'",
  ' and ',
  'if(',
  ',',
  '9',
  'a',
  '\u0000',
  '=',
  ' mm',
  ' deg',
];
const NAMES = ['__proto__', 'constructor', 'toString', 'let', 'do', 'with', 'when', 'polluted', 'shareOf'];

const HOSTILE: readonly (() => Json)[] = [
  () => null,
  () => true,
  () => -1e308,
  () => '',
  () => '__proto__',
  () => 'constructor.prototype.polluted',
  () => '('.repeat(390),
  () => '-'.repeat(399) + '1',
  () => `${'9 * '.repeat(98)}9`,
  () => 'x'.repeat(5_000),
  () => `${'a + '.repeat(90)}a`,
  () => `${'abs(min(1,2'.repeat(30)}`,
  () => [],
  () => ({}),
  () => Array.from({ length: 10_000 }, () => ({ let: 'a', is: 'b' })),
  () => Array.from({ length: 150 }, (_, i) => ({ let: `n${i}`, is: `n${(i + 1) % 150}` })),
  () =>
    Array.from({ length: 120 }, (_, i) => ({
      do: 'redraw seam',
      with: Object.fromEntries(
        Array.from({ length: 20 }, (_unused, j) => [`from${j}`, `${'word'.repeat(15)}${i}`]),
      ),
    })),
  () => nested(200),
  () => JSON.parse('{"__proto__": {"polluted": true}, "let": "a", "is": "1"}') as Json,
];

function nested(depth: number): Json {
  let inner: Json = { do: 'close up' };
  for (let i = 0; i < depth; i++) inner = { when: 'yes', steps: [inner] };
  return inner;
}

function spotsOf(root: Json): Spot[] {
  const spots: Spot[] = [];
  const visit = (value: Json): void => {
    if (typeof value !== 'object' || value === null) return;
    for (const key of Object.keys(value)) {
      spots.push({ parent: value, key: Array.isArray(value) ? Number(key) : key });
      if (spots.length < 5_000) visit((value as Record<string, Json>)[key]);
    }
  };
  visit(root);
  return spots;
}

function below(random: Random, limit: number): number {
  return Math.floor(random() * limit);
}

/** A small generator of good spread. Source: mulberry32, public domain, from memory. */
function mulberry32(seed: number): Random {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}
