import { describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { draftRequestJson, draftRequestText } from './draft-request-json.js';
import { readDraftRequest } from './draft-request.js';
import { HOUSE_STYLE } from '../../test/support/house-style.js';
import { pinnedRecipe, readRecipe } from './recipe.js';
import { readDraftRequestWith, type StoredRecipe } from './stored-parts.js';

const EXAMPLE = JSON.parse(
  readFileSync(new URL('../../../examples/draft-request.json', import.meta.url), 'utf8'),
) as object;

const withAlterations = (alterations: readonly unknown[]) => ({ ...EXAMPLE, alterations });

function problemsOf(read: ReturnType<typeof readDraftRequest>): string[] {
  return read.ok ? [] : read.problems.map(({ pointer, code, action }) => `${pointer} ${code} ${action}`);
}

const stored = (recipes: Record<string, StoredRecipe>) => ({ recipes: new Map(Object.entries(recipes)) });

describe('an alteration of the shop', () => {
  it('stands in the request whole, so that it is made again without the store', () => {
    const read = readDraftRequest(withAlterations([{ recipe: HOUSE_STYLE, with: { hemIn: '1 in' } }]));
    if (!read.ok) throw new Error(problemsOf(read).join('\n'));
    const [alteration] = read.request.alterations;
    expect(alteration).toMatchObject({
      use: 'house-style',
      with: { hemIn: 25.4, casing: 40, drop: { share: 0.6 } },
    });
    const again = readDraftRequest(draftRequestJson(read.request));
    expect(again.ok && draftRequestText(again.request)).toBe(draftRequestText(read.request));
  });

  it('is put in by name and version, as it was published', () => {
    const recipe = readRecipe(HOUSE_STYLE);
    if (!recipe.ok) throw new Error(recipe.problems[0].message);
    const pinned = pinnedRecipe(recipe.value);
    const named = withAlterations([{ use: 'drop-crotch' }, { use: 'house-style' }]);
    const read = readDraftRequestWith(
      named,
      stored({ 'house-style': { version: 3, recipe: pinned as never } }),
    );
    if (!read.ok) throw new Error(problemsOf(read).join('\n'));
    expect(read.request.alterations.map(({ use }) => use)).toEqual(['drop-crotch', 'house-style@3']);
    expect(read.request.alterations[1].recipe?.operations).toEqual(
      Object.fromEntries(
        Object.keys(pinned.operations ?? {}).map((name) => [name, name === 'blend waist' ? 2 : 1]),
      ),
    );
  });

  it.each([
    [
      { not: 'there' },
      '/alterations/0/use NOT_FOUND GET /v1/alterations lists those there are; publish your own before drafts use it.',
    ],
    [
      { not: 'in-use', newest: 4 },
      '/alterations/0/use NOT_AVAILABLE Use "house-style" for its newest version, 4.',
    ],
    [
      { not: 'published' },
      '/alterations/0/use NOT_AVAILABLE GET /v1/alterations lists those there are; publish your own before drafts use it.',
    ],
  ] as const)('is refused by its name when it is not: %j', (found, problem) => {
    const read = readDraftRequestWith(
      withAlterations([{ use: 'house-style@3' }]),
      stored({ 'house-style@3': found }),
    );
    expect(problemsOf(read)).toEqual([problem]);
  });

  it('is refused for what is wrong in it, each at its place', () => {
    const slip = { ...HOUSE_STYLE, steps: [{ let: 'a', is: 'hemin' }, ...HOUSE_STYLE.steps] };
    const read = readDraftRequest(
      withAlterations([
        { recipe: slip },
        { recipe: HOUSE_STYLE, with: { hemIn: '900 mm', hemOut: 3 } },
        { use: 'other', recipe: HOUSE_STYLE },
        { recipe: { ...HOUSE_STYLE, name: 'drop-crotch' } },
        { recipe: { ...HOUSE_STYLE, steps: [{ do: 'set lenght' }] } },
      ]),
    );
    expect(problemsOf(read).map((problem) => problem.split(' ').slice(0, 2).join(' '))).toEqual([
      '/alterations/4/recipe/steps/0/do NOT_ALLOWED',
      '/alterations/0/recipe/steps/0/is UNKNOWN_NAME',
      '/alterations/1/with/hemIn OUT_OF_RANGE',
      '/alterations/1/with/hemOut UNKNOWN_FIELD',
      '/alterations/2/use CONFLICT',
      '/alterations/3/recipe/name CONFLICT',
      ...Array.from(
        { length: HOUSE_STYLE.parameters.length },
        (_, i) => `/alterations/4/recipe/parameters/${i} WITHOUT_EFFECT`,
      ),
    ]);
  });
});
