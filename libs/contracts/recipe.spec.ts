import type { Operation } from '#alterations';
import { describe, expect, it } from '@jest/globals';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { readRecipeBy, recipeForm } from './recipe.js';
import { jsonSchemaOf } from './wire-form.js';

const never = (): never => {
  throw new Error('a recipe is checked without running it');
};

// A catalogue of our own, so that what is said of a recipe does not hang on what the house's operations are called.
const CATALOGUE: readonly Operation[] = [
  {
    name: 'mark level',
    version: 1,
    summary: 'Marks where a seam meets a level.',
    sentence: 'Mark the {seam} at {level}',
    scope: 'piece',
    arguments: {
      seam: { kind: 'seam', says: 'the seam', oneOf: ['inseam', 'outseam'] },
      level: { kind: 'length', says: 'the level' },
    },
    results: { point: 'point' },
    run: never,
  },
  {
    name: 'carry on',
    version: 2,
    summary: 'Carries a line on.',
    sentence: 'Carry on from {from} by {by}[ at {angle}]',
    scope: 'points',
    arguments: {
      from: { kind: 'point', says: 'the end' },
      by: { kind: 'length', says: 'how far' },
      angle: { kind: 'angle', says: 'how steep', optional: true },
    },
    results: { point: 'point' },
    run: never,
  },
  {
    name: 'measure across',
    version: 1,
    summary: 'Measures across.',
    sentence: 'Measure across at {level}',
    scope: 'piece',
    arguments: { level: { kind: 'length', says: 'the level' } },
    results: { width: 'length', sewn: 'length' },
    run: never,
  },
  {
    name: 'match',
    version: 1,
    summary: 'Matches the seams.',
    sentence: 'Match the seams',
    scope: 'pair',
    arguments: {},
    results: {},
    run: never,
  },
];
const OPERATIONS = new Map(CATALOGUE.map((operation) => [operation.name, operation]));
const FORM = recipeForm(OPERATIONS);

const read = (json: unknown) => readRecipeBy(FORM, OPERATIONS, json);

const HEM_IN = {
  name: 'hemIn',
  quantity: 'length',
  default: 19,
  min: 0,
  max: 60,
  help: 'Taken in at each inseam.',
};
const WAIST = {
  name: 'waist',
  oneOf: ['restore', 'leave'],
  default: 'restore',
  help: 'What becomes of the waist.',
};
const USE_BOTH = { let: 'used', is: "if(waist = 'leave', hemIn, 0)" };

const base = (steps: readonly unknown[], more: object = {}) => ({
  name: 'house-style',
  title: 'House style',
  summary: 'What the house sells.',
  parameters: [HEM_IN, WAIST],
  steps: [USE_BOTH, ...steps],
  ...more,
});

/** "step column code pointer" of everything that is wrong. */
function wrong(json: unknown): string[] {
  const result = read(json);
  if (result.ok) return [];
  for (const { message, action, found, allowed } of result.problems) {
    expect(message).toMatch(/\.$/);
    expect(action).toMatch(/[.?]$/);
    expect(found).not.toBe('');
    expect(allowed).toBeDefined();
  }
  return result.problems.map(({ step, column, code, pointer }) =>
    [step ?? '-', column ?? '-', code, pointer].join(' '),
  );
}

function actionsOf(json: unknown): string[] {
  const result = read(json);
  return result.ok ? [] : result.problems.map(({ action }) => action);
}

const WHOLE = base([
  { do: 'measure across', with: { level: 'level.knee' }, as: 'knee' },
  { let: 'kneeGirth', is: 'front.knee.width + back.knee.width' },
  { do: 'mark level', with: { seam: 'inseam', level: 'level.hem + this.knee.sewn / 4' }, as: 'taper' },
  { do: 'carry on', with: { from: 'this.taper', by: 'hemIn / 2', angle: '30 deg' }, on: 'front', as: 'end' },
  { do: 'carry on', with: { from: 'front.end', by: 'front.end.x - block.front.fork.x' }, as: 'far' },
  {
    guard: 'kneeGirth >= body.knee + 20 mm or not body.kneeKnown',
    level: 'warning',
    code: 'KNEE_NARROW',
    message: 'The knee is {kneeGirth} wide.',
    action: 'Take the hem in by {allowed}.',
    of: 'hemIn',
    allowed: { max: 'hemIn - 2 mm' },
    place: { piece: 'front', part: 'knee', at: 'front.taper' },
    numbers: { kneeGirthMm: 'kneeGirth' },
  },
  {
    when: "waist = 'restore' and far.y > 0",
    steps: [{ do: 'match' }, { let: 'more', is: 'used * 2' }, { report: 'more', value: 'more' }],
  },
]);

describe('a recipe', () => {
  it('is read when it is whole', () => {
    expect(read(WHOLE)).toMatchObject({ ok: true, value: { name: 'house-style' } });
  });

  it.each([
    ['an operation that is none', [{ do: 'mark levle', with: {} }], ['2 - NOT_ALLOWED /steps/1/do']],
    [
      'arguments that are missing, unknown, or no words of theirs',
      [{ do: 'mark level', with: { seam: 'insaem', leval: '1 mm' } }],
      [
        '2 - NOT_ALLOWED /steps/1/with/seam',
        '2 - MISSING /steps/1/with/level',
        '2 - UNKNOWN_FIELD /steps/1/with/leval',
      ],
    ],
    [
      'a number in place of a formula',
      [{ do: 'carry on', with: { from: 'front.fork', by: 20 } }],
      ['2 - WRONG_TYPE /steps/1/with/by'],
    ],
    ['a length and an angle together', [{ let: 'a', is: 'hemIn + 30 deg' }], ['2 7 WRONG_UNITS /steps/1/is']],
    [
      'a plain number where a length is needed',
      [{ do: 'carry on', with: { from: 'front.fork', by: '20' } }],
      ['2 1 WRONG_UNITS /steps/1/with/by'],
    ],
    ['a division by zero', [{ let: 'a', is: 'hemIn / (3 - 3)' }], ['2 7 NO_VALUE /steps/1/is']],
    ['a name that is none', [{ let: 'a', is: '2 * hemout' }], ['2 5 UNKNOWN_NAME /steps/1/is']],
    ['a name from inside an engine', [{ let: 'a', is: 'constructor' }], ['2 1 UNKNOWN_NAME /steps/1/is']],
    [
      'values that wait for each other',
      [
        { let: 'a', is: 'b + 1 mm' },
        { let: 'b', is: 'c' },
        { let: 'c', is: 'a' },
      ],
      ['2 1 CIRCLE /steps/1/is', '3 1 CIRCLE /steps/2/is'],
    ],
    ['a value made of itself', [{ let: 'a', is: 'a + 1 mm' }], ['2 1 CIRCLE /steps/1/is']],
    [
      'a value used before it is given',
      [
        { let: 'a', is: 'b' },
        { let: 'b', is: 'hemIn' },
      ],
      ['2 1 UNKNOWN_NAME /steps/1/is'],
    ],
    [
      'a name from inside a condition',
      [
        { when: 'hemIn > 0', steps: [{ let: 'a', is: 'hemIn' }] },
        { let: 'b', is: 'a' },
      ],
      ['4 1 UNKNOWN_NAME /steps/2/is'],
    ],
    [
      'a condition that is an amount',
      [{ when: 'hemIn', steps: [{ do: 'match' }] }],
      ['2 1 WRONG_UNITS /steps/1/when'],
    ],
    [
      'a point that is an amount, and one that is none',
      [
        { let: 'a', is: 'front.fork' },
        { do: 'carry on', with: { from: 'front.frok', by: 'hemIn' } },
      ],
      ['2 1 WRONG_UNITS /steps/1/is', '3 - UNKNOWN_NAME /steps/2/with/from'],
    ],
    [
      'this piece where there is none',
      [{ do: 'carry on', with: { from: 'this.fork', by: 'hemIn' } }],
      ['2 - UNKNOWN_NAME /steps/1/with/from'],
    ],
    [
      'a piece for what works on both together, and a name for nothing',
      [{ do: 'match', on: 'front', as: 'matched' }],
      ['2 - WITHOUT_EFFECT /steps/1/on', '2 - WITHOUT_EFFECT /steps/1/as'],
    ],
    [
      'names that are taken, or none',
      [
        { let: 'hemIn', is: '1' },
        { let: 'front', is: '1' },
        { let: 'min', is: '1' },
        { let: '__proto__', is: '1' },
      ],
      [
        '2 - WRONG_NAME /steps/1/let',
        '3 - WRONG_NAME /steps/2/let',
        '4 - WRONG_NAME /steps/3/let',
        '5 - WRONG_NAME /steps/4/let',
      ],
    ],
    [
      'a word that a choice never is',
      [{ when: "waist = 'restored'", steps: [{ do: 'match' }] }],
      ['2 9 WITHOUT_EFFECT /steps/1/when'],
    ],
    [
      'a guard without what to do, about nothing',
      [{ guard: 'hemIn > 0', level: 'stop', code: 'HEM', message: 'It is {hemIm}.', of: 'hem' }],
      ['2 - MISSING /steps/1/action', '2 8 UNKNOWN_NAME /steps/1/message', '2 - UNKNOWN_NAME /steps/1/of'],
    ],
    ['a step of no kind', [{ make: 'x' }], ['2 - WRONG_TYPE /steps/1']],
    [
      'a step of two kinds',
      [{ let: 'a', is: 'hemIn', do: 'match' }],
      ['2 - UNKNOWN_FIELD /steps/1/let', '2 - UNKNOWN_FIELD /steps/1/is'],
    ],
  ])('is refused for %s', (_, steps, expected) => {
    expect(wrong(base(steps)).sort()).toEqual([...expected].sort());
  });

  it('is refused for amounts that do not agree, and parameters that nothing uses', () => {
    const parameters = [
      { ...HEM_IN, min: 60, max: 0 },
      { ...HEM_IN, name: 'crop', default: 700, max: 600 },
      { ...WAIST, default: 'restored' },
    ];
    expect(wrong(base([], { parameters }))).toEqual([
      '- - CONFLICT /parameters/0/min',
      '- - CONFLICT /parameters/1/default',
      '- - CONFLICT /parameters/2/default',
      '- - WITHOUT_EFFECT /parameters/1',
    ]);
  });

  it('says the step of a slip inside a condition and after one, as the readable form counts', () => {
    const inside = { when: 'hemIn > 0', steps: [{ do: 'match' }, { do: 'mark levle' }] };
    const [within, after] = wrong(base([inside, { report: 'hem in' }]));
    expect([within, after]).toEqual(['4 - NOT_ALLOWED /steps/1/steps/1/do', '5 - MISSING /steps/2/value']);
    const result = read(base([inside]));
    expect(result.ok ? '' : result.problems[0].message).toMatch(/^Step 4, steps\[1\]\.steps\[1\]\.do /);
  });

  it('says what has a name that is given again', () => {
    const messages = (steps: readonly unknown[], more: object = {}): string[] => {
      const result = read(base(steps, more));
      return result.ok ? [] : result.problems.map(({ message }) => message);
    };
    const twice = [
      { let: 'far', is: 'hemIn' },
      { let: 'far', is: '2 * hemIn' },
      { let: 'hemIn', is: '1 mm' },
      { let: 'front.darts', is: '1' },
    ];
    expect(messages(twice)).toEqual([
      'Step 3, steps[2].let: "far" is taken by step 2.',
      'Step 4, steps[3].let: "hemIn" is taken by a parameter.',
      'Step 5, steps[4].let: "front.darts" is taken by a name that is always there.',
    ]);
    expect(messages([], { parameters: [HEM_IN, WAIST, HEM_IN] })).toEqual([
      'parameters[2].name: "hemIn" is taken by a parameter before it.',
    ]);
  });

  it('offers no name that only begins alike', () => {
    expect(actionsOf(base([{ let: 'a', is: 'body.ankle + hemIn' }]))).toEqual([
      'Measures of the body are body.heel, body.calf, body.knee, body.thigh, body.waist, body.hip.',
    ]);
    expect(actionsOf(base([{ let: 'a', is: 'body.hee + hemIn' }]))).toEqual(['Did you mean "body.heel"?']);
  });

  it('says what to send in place of the whole answer about one', () => {
    const answer = {
      name: 'house-style',
      title: 'x',
      origin: 'shop',
      version: 1,
      parameters: [],
      recipe: WHOLE,
    };
    expect(wrong(answer)).toEqual(['- - WRONG_TYPE ']);
    expect(actionsOf(answer)).toEqual([
      'Send what stands in "recipe" alone: the object with name, title, parameters and steps.',
    ]);
  });

  it('says what was most likely meant', () => {
    const [operation] = actionsOf(base([{ do: 'mark levle', with: {} }]));
    expect(operation).toBe('Did you mean "mark level"?');
    expect(actionsOf(base([{ let: 'a', is: '2 * hemin' }]))).toEqual(['Did you mean "hemIn"?']);
    expect(actionsOf(base([{ do: 'carry on', with: { from: 'front.frok', by: 'hemIn' } }]))).toEqual([
      'Did you mean "front.fork"?',
    ]);
    const number = actionsOf(base([{ do: 'carry on', with: { from: 'front.fork', by: 20 } }]));
    expect(number).toEqual(['Write it as text with its unit, like "20 mm", "20 deg" or "20".']);
    const early = [
      { let: 'a', is: 'b' },
      { let: 'b', is: 'hemIn' },
    ];
    expect(actionsOf(base(early))).toEqual(['It is given only in step 3; move that step above this one.']);
  });

  it('is not looked into when it is too large', () => {
    const many = Array.from({ length: 10_000 }, () => ({ let: 'a', is: '1' }));
    expect(wrong(base(many))).toEqual(['- - TOO_MANY /steps']);
    expect(wrong(base(many.slice(0, 300)))).toEqual(['- - TOO_MANY /steps']);
    let deep: unknown = { do: 'match' };
    for (let depth = 0; depth < 500; depth++) deep = { when: 'hemIn > 0', steps: [deep] };
    expect(wrong(base([deep]))[0]).toMatch(/TOO_DEEP/);
    const three = {
      when: 'yes',
      steps: [{ when: 'yes', steps: [{ when: 'yes', steps: [{ do: 'match' }] }] }],
    };
    expect(wrong(base([three]))).toEqual(['4 - TOO_DEEP /steps/1/steps/0/steps/0']);
  });

  it('is refused for operations of another version', () => {
    expect(wrong({ ...WHOLE, operations: { 'carry on': 2, match: 1 } })).toEqual([]);
    expect(wrong({ ...WHOLE, operations: { 'carry on': 1, 'fold over': 1 } })).toEqual([
      '- - NOT_AVAILABLE /operations/carry on',
      '- - NOT_AVAILABLE /operations/fold over',
    ]);
  });

  it('is described by a schema that another validator agrees with', () => {
    const { schema, named } = jsonSchemaOf(FORM, 'input');
    const ajv = new Ajv2020({ strict: false, allErrors: true });
    const validate = ajv.compile({ ...schema, components: { schemas: named } });
    expect(validate(WHOLE)).toBe(true);
    const faulty = [
      base([{ do: 'mark levle', with: {} }]),
      base([{ do: 'mark level', with: { seam: 'insaem', level: '1 mm' } }]),
      base([{ do: 'mark level', with: { seam: 'inseam' } }]),
      base([{ do: 'carry on', with: { from: 'front.fork', by: 20 } }]),
      base([{ make: 'x' }]),
      base([{ let: 'a', is: 'hemIn', do: 'match' }]),
      base([{ guard: 'hemIn > 0', level: 'stop', code: 'HEM', message: 'It is.' }]),
      { ...WHOLE, name: 'House Style' },
      { ...WHOLE, title: undefined, parameter: [] },
    ].map((json) => JSON.parse(JSON.stringify(json)) as unknown);
    for (const json of faulty) {
      expect(validate(json)).toBe(false);
      expect(wrong(json)).not.toEqual([]);
    }
  });
});
