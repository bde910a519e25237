import { createContext, runInContext } from 'node:vm';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { checkFormula } from './check-formula.js';
import { evaluateFormula } from './evaluate-formula.js';
import {
  FORMULA_LENGTH_MAX,
  FUNCTION_NAMES,
  type Formula,
  type FormulaValue,
  type Quantity,
} from './formula.js';
import { parseFormula } from './parse-formula.js';

const SCOPE: ReadonlyMap<string, Quantity> = new Map([
  ['hemIn', 'length'],
  ['front.rise.length', 'length'],
  ['body.heelGirth', 'length'],
  ['lean', 'angle'],
  ['share', 'ratio'],
  ['count', 'ratio'],
  ['room', 'area'],
  ['lined', 'yes-no'],
  ['waist', 'word'],
]);

const VALUES: ReadonlyMap<string, FormulaValue> = new Map<string, FormulaValue>([
  ['hemIn', 19],
  ['front.rise.length', 312.5],
  ['body.heelGirth', 331],
  ['lean', 0.3],
  ['share', 0.4],
  ['count', 4],
  ['room', 5600],
  ['lined', true],
  ['waist', 'restore'],
]);

function parsed(text: string): Formula {
  const read = parseFormula(text);
  if (!read.ok) throw new Error(`${text}: ${read.problems[0].message}`);
  return read.formula;
}

function answer(text: string): { readonly quantity: Quantity; readonly value: FormulaValue } {
  const formula = parsed(text);
  const checked = checkFormula(formula, SCOPE);
  if (!checked.ok) throw new Error(`${text}: ${checked.problems[0].message}`);
  const worked = evaluateFormula(formula, VALUES);
  if ('fault' in worked) throw new Error(`${text}: ${worked.fault.message}`);
  return { quantity: checked.quantity, value: worked.value };
}

function problemsOf(text: string, expected?: readonly Quantity[]) {
  const read = parseFormula(text);
  if (!read.ok) return read.problems;
  const checked = checkFormula(read.formula, SCOPE, expected);
  return checked.ok ? [] : checked.problems;
}

describe('a formula', () => {
  it.each([
    ['12 mm', 'length', 12],
    ['1 1/2 in', 'length', 38.1],
    ['3/4 in', 'length', 19.05], // the international inch of 1959: 25.4 mm
    ['2.5 cm', 'length', 25],
    ['12"', 'length', 304.8],
    ['30 deg', 'angle', Math.PI / 6],
    ['25 %', 'ratio', 0.25],
    ['3/4', 'ratio', 0.75],
    ['2 + 3 * 4', 'ratio', 14],
    ['(2 + 3) * 4', 'ratio', 20],
    ['10 - 3 - 2', 'ratio', 5],
    ['24 / 4 / 2', 'ratio', 3],
    ['-2 * -3', 'ratio', 6],
    ['hemIn / 2 + 1/2 in', 'length', 22.2],
    ['max(body.heelGirth + 20 mm, 0.8 * body.heelGirth) / 4', 'length', 87.75],
    ['clamp(hemIn, 0, 15 mm)', 'length', 15],
    ['sqrt(room)', 'length', Math.sqrt(5600)],
    ['hemIn * sin(lean)', 'length', 19 * Math.sin(0.3)],
    ['atan(hemIn / front.rise.length)', 'angle', Math.atan(19 / 312.5)],
    ["if(waist = 'restore' and not (hemIn > 25 mm), 1, 2)", 'ratio', 1],
    ['lined or 1 / (share - share) > 2', 'yes-no', true],
    ['if(lined, 3 mm, 0)', 'length', 3],
    ['yes != lined', 'yes-no', false],
  ])('%s is %s %s', (text, quantity, value) => {
    const found = answer(text);
    expect(found.quantity).toBe(quantity);
    if (typeof value === 'number') expect(found.value).toBeCloseTo(value, 12);
    else expect(found.value).toBe(value);
  });

  it('binds its operators as JavaScript does', () => {
    // The judge is the engine's own parser. Chains have no brackets, so that only the order of operators decides.
    const operand = fc.constantFrom('share', 'count', '2', '0.5', '-3', '7', '(share + 2)', 'abs(count)');
    const operator = fc.constantFrom('+', '-', '*', '/');
    const sum = fc
      .tuple(operand, fc.array(fc.tuple(operator, operand), { maxLength: 12 }))
      .map(([first, rest]) => first + rest.map(([sign, next]) => ` ${sign} ${next}`).join(''));
    const comparison = fc
      .tuple(sum, fc.constantFrom('<', '<=', '>', '>=', '=', '!='), sum)
      .map((parts) => parts.join(' '));
    const condition = fc
      .tuple(comparison, fc.array(fc.tuple(fc.constantFrom('and', 'or'), comparison), { maxLength: 4 }))
      .map(([first, rest]) => first + rest.map(([sign, next]) => ` ${sign} ${next}`).join(''));
    fc.assert(
      fc.property(fc.oneof(sum, condition), (text) => {
        fc.pre(text.length <= FORMULA_LENGTH_MAX);
        const worked = evaluateFormula(parsed(text), VALUES);
        expect('value' in worked && worked.value).toEqual(byJavaScript(text));
      }),
      { numRuns: 300 },
    );
  });

  it('gives a result that scales with the lengths as its unit says', () => {
    // Whatever the checker lets through must not depend on what a millimetre is: twice the lengths, twice the length
    // and four times the area. That is what checking units is for, and it needs no table of rules.
    let accepted = 0;
    fc.assert(
      fc.property(arbLooseFormula(4), (text) => {
        const read = parseFormula(text);
        fc.pre(read.ok);
        const checked = checkFormula(read.formula, SCOPE);
        if (!checked.ok) return;
        const [small, large] = [
          evaluateFormula(read.formula, VALUES),
          evaluateFormula(read.formula, scaled(2)),
        ];
        if ('fault' in small || 'fault' in large) {
          expect('fault' in small && 'fault' in large).toBe(true);
          return;
        }
        accepted++;
        const factor = checked.quantity === 'length' ? 2 : checked.quantity === 'area' ? 4 : 1;
        if (typeof small.value !== 'number') expect(large.value).toBe(small.value);
        else expect(large.value as number).toBeCloseTo(factor * small.value, 6);
      }),
      { numRuns: 3_000 },
    );
    expect(accepted).toBeGreaterThan(300);
  });

  it.each([
    ['hemIn + lean', 7],
    ['hemIn + 3', 7],
    ['hemIn * hemIn * hemIn', 15],
    ['hemIn / room', 7],
    ['1 / hemIn', 3],
    ['sqrt(hemIn)', 6],
    ['sin(share)', 5],
    ['sin(hemIn)', 5],
    ['atan(lean)', 6],
    ['atan(hemIn)', 6],
    ['max(hemIn, share)', 1],
    ['clamp(share, 0 mm, 1)', 1],
    ['hemIn < lean', 7],
    ['lean * lean', 6],
    ['waist + 1', 7],
    ["waist < 'restore'", 7],
    ['not hemIn', 5],
    ['-lined', 2],
    ['lined and hemIn', 7],
    ['if(hemIn, 1, 2)', 4],
    ['if(lined, 1, 2 mm)', 1],
    ['if(lined, waist, 2 mm)', 1],
  ])('is refused for its units: %s', (text, column) => {
    const problems = problemsOf(text);
    expect(problems.map(({ code }) => code)).toEqual(['WRONG_UNITS']);
    expect(problems[0].column).toBe(column);
    expect(problems[0].action).not.toBe('');
  });

  it.each([
    ['hemIn / 0', 'NO_VALUE', 7],
    ['1 / (2 - 2)', 'NO_VALUE', 3],
    ['share / (0.5 - 1/2)', 'NO_VALUE', 7],
    ['sqrt(1 - 2)', 'NO_VALUE', 1],
    ['clamp(1, 3, 2)', 'NO_VALUE', 1],
    ['9999999 * 9999999 * share', 'NO_VALUE', 9],
    ['if(lined, 1 / 0, 2)', 'NO_VALUE', 13],
    ['hemin', 'UNKNOWN_NAME', 1],
    ['2 * constructor', 'UNKNOWN_NAME', 5],
    ['toString', 'UNKNOWN_NAME', 1],
    ['front.constructor.prototype', 'UNKNOWN_NAME', 1],
    ['__proto__', 'NOT_A_FORMULA', 1],
    ['hemIn["x"]', 'NOT_A_FORMULA', 6],
    ['1e9', 'NOT_A_FORMULA', 2],
    ['0x10', 'NOT_A_FORMULA', 2],
    ['2 ^ 9', 'NOT_A_FORMULA', 3],
    ['99999999', 'FORMULA_TOO_LARGE', 1],
    ['1 2', 'NOT_A_FORMULA', 3],
    ['a < b < c', 'NOT_A_FORMULA', 7],
    ['foo(1)', 'NOT_A_FORMULA', 1],
    ['constructor(1)', 'NOT_A_FORMULA', 1],
    ['max(1)', 'NOT_A_FORMULA', 1],
    ['if(lined, 1)', 'NOT_A_FORMULA', 1],
    ['(1', 'NOT_A_FORMULA', 3],
    ['1)', 'NOT_A_FORMULA', 2],
    ['1 +', 'NOT_A_FORMULA', 4],
    ['', 'NOT_A_FORMULA', 1],
    ['1 9/8 in', 'NOT_A_FORMULA', 1],
    ['1/0 in', 'NOT_A_FORMULA', 1],
  ])('says what is wrong with %s', (text, code, column) => {
    const [problem] = problemsOf(text);
    expect(problem).toMatchObject({ code, column });
    expect(problem.message).toMatch(/\.$/);
    expect(problem.action).toMatch(/[.?]$/);
  });

  it.each([
    ['brackets', '('.repeat(300), 17],
    ['signs', '-'.repeat(300) + '1', 17],
    ['nots', 'not '.repeat(90) + 'lined', 65],
    ['functions', 'abs('.repeat(90) + '1', 68],
    ['terms', '1' + '+1'.repeat(50_000), FORMULA_LENGTH_MAX + 1],
  ])('does not follow a tower of %s', (_, text, column) => {
    expect(problemsOf(text)).toMatchObject([{ code: 'FORMULA_TOO_LARGE', column }]);
  });

  it('says everything that is wrong at once', () => {
    const codes = problemsOf('(hemin + lean) * (hemIn + lean) + sin(share)').map(({ code }) => code);
    expect(codes).toEqual(['UNKNOWN_NAME', 'WRONG_UNITS', 'WRONG_UNITS']);
  });

  it.each([
    ['12', ['length'], 1],
    ['hemIn', ['ratio'], 1],
    ['0', ['length'], 0],
    ['0', ['angle'], 0],
    ['0', ['yes-no'], 1],
    ['hemIn', ['ratio', 'length'], 0],
  ] as const)('%s where %s is needed', (text, expected, count) => {
    expect(problemsOf(text, expected)).toHaveLength(count);
  });

  it('hints at a name that was nearly right', () => {
    expect(problemsOf('body.heelgirth')[0].action).toContain('body.heelGirth');
  });

  it('has a fault with a column where these values give none', () => {
    const fault = (text: string) => evaluateFormula(parsed(text), VALUES);
    expect(fault('1 / (hemIn - 19 mm)')).toMatchObject({ fault: { code: 'DIVISION_BY_ZERO', column: 3 } });
    expect(fault('sqrt(room - 6000 mm * 1 mm)')).toMatchObject({
      fault: { code: 'NEGATIVE_ROOT', column: 1 },
    });
    expect(fault('clamp(share, count, 1)')).toMatchObject({ fault: { code: 'LIMITS_CROSSED', column: 1 } });
    expect(fault('count * 9999999 * 9999999')).toMatchObject({ fault: { code: 'NOT_FINITE', column: 17 } });
  });

  it('reads any text without throwing, and points into it', () => {
    const word = fc.constantFrom(
      ...FUNCTION_NAMES.map((name) => `${name}(`),
      ...'( ) , + - * / < <= = != and or not yes no 12 0.5 1/2 in mm deg % " \' hemIn a.b __proto__ 1e9 \u0000 é \u{1F456}'.split(
        ' ',
      ),
    );
    fc.assert(
      fc.property(
        fc.oneof(
          fc.array(word, { maxLength: 30 }).map((words) => words.join(' ')),
          fc.string(),
        ),
        (text) => {
          const problems = problemsOf(text);
          for (const { column } of problems) {
            expect(column).toBeGreaterThanOrEqual(1);
            expect(column).toBeLessThanOrEqual(Math.min(text.length, FORMULA_LENGTH_MAX) + 1);
          }
        },
      ),
      { numRuns: 2_000 },
    );
  });
});

const JAVASCRIPT = createContext({ share: 0.4, count: 4 });

/** The same chain read by another parser: V8's. */
function byJavaScript(text: string): unknown {
  const same = text
    .replaceAll(/\babs\(/g, 'Math.abs(')
    .replaceAll(' = ', ' === ')
    .replaceAll(/\band\b/g, '&&')
    .replaceAll(/\bor\b/g, '||');
  // A division by zero has no value here, and the chains hold none: no operand is zero, nor equal to its neighbour's.
  return runInContext(same, JAVASCRIPT) as unknown;
}

/** Formulas whose units go together by luck only. Lengths come by name, so that scaling reaches all of them. */
function arbLooseFormula(depth: number): fc.Arbitrary<string> {
  const names = fc.constantFrom(
    'hemIn',
    'front.rise.length',
    'room',
    'share',
    'count',
    '2',
    '0',
    'lean',
    'lined',
    'hemIn',
  );
  if (depth === 0) return names;
  const inner = arbLooseFormula(depth - 1);
  const pair = fc
    .tuple(inner, fc.constantFrom('+', '-', '*', '/', '<', 'and'), inner)
    .map(([a, sign, b]) => `(${a} ${sign} ${b})`);
  const one = fc
    .tuple(fc.constantFrom('abs', 'sqrt', 'sin', 'atan', '-'), inner)
    .map(([name, a]) => `${name}(${a})`);
  const several = fc
    .tuple(fc.constantFrom('min', 'max'), inner, inner)
    .map(([name, a, b]) => `${name}(${a}, ${b})`);
  const three = fc
    .tuple(fc.constantFrom('if', 'clamp'), inner, inner, inner)
    .map(([name, a, b, c]) => `${name}(${a}, ${b}, ${c})`);
  return fc.oneof({ weight: 3, arbitrary: names }, { weight: 4, arbitrary: pair }, one, several, three);
}

function scaled(factor: number): ReadonlyMap<string, FormulaValue> {
  return new Map(
    [...VALUES].map(([name, value]): [string, FormulaValue] => {
      const quantity = SCOPE.get(name);
      const by = quantity === 'length' ? factor : quantity === 'area' ? factor ** 2 : 1;
      return [name, typeof value === 'number' ? value * by : value];
    }),
  );
}
