import type { CallNode, FormulaNode, PairNode, PairOperator } from '../formula/formula.js';
import { parseFormula } from '../formula/parse-formula.js';
import { amountInWords, type ShopUnit } from './amount-words.js';

/** What is put into the words of formulas. */
export interface Wording {
  readonly unit: ShopUnit;
  /** What a parameter is when nothing is said of it, as words: "19 mm". */
  readonly amounts: ReadonlyMap<string, string>;
}

/** A formula in trade words, with the shop's numbers behind its parameters: "hem in (19 mm) / 2". */
export function formulaInWords(text: string, wording: Wording): string {
  const parsed = parseFormula(text);
  return parsed.ok ? words(parsed.formula.root, wording) : text;
}

/** A name or reference as words: "front.rise.length" is "front rise length". */
export function nameInWords(name: string): string {
  const [first, ...rest] = name.split('.');
  if (first === 'level' && rest.length === 1) return `the ${split(rest[0])} level`;
  if (first === 'body' && rest.length === 1) return bodyInWords(rest[0]);
  if (first === 'block' && rest.length > 0) return `${nameInWords(rest.join('.'))} as it was`;
  if (first === 'this' && rest.length > 0) return `its ${rest.map(split).join(' ')}`;
  return [first, ...rest].map(split).join(' ');
}

function bodyInWords(measure: string): string {
  if (measure.endsWith('Known'))
    return `the body's ${split(measure.slice(0, -'Known'.length))} girth is known`;
  return `the body's ${split(measure)} girth`;
}

function split(name: string): string {
  return name.replaceAll(
    /([a-z0-9])([A-Z])/g,
    (_, before: string, letter: string) => `${before} ${letter.toLowerCase()}`,
  );
}

const SIGNS: Readonly<Record<PairOperator, string>> = {
  '+': '+',
  '-': '-',
  '*': 'x',
  '/': '/',
  and: 'and',
  or: 'or',
  '=': 'is',
  '!=': 'is not',
  '<': 'is below',
  '<=': 'is at most',
  '>': 'is above',
  '>=': 'is at least',
};

/** How tightly each binds, so that brackets stand only where they are needed. */
const BINDING: Readonly<Record<PairOperator, number>> = {
  or: 1,
  and: 2,
  '=': 4,
  '!=': 4,
  '<': 4,
  '<=': 4,
  '>': 4,
  '>=': 4,
  '+': 5,
  '-': 5,
  '*': 6,
  '/': 6,
};

function words(node: FormulaNode, wording: Wording): string {
  switch (node.kind) {
    case 'number':
      return amountInWords(node.value, node.quantity, wording.unit);
    case 'word':
      return `"${node.value}"`;
    case 'yes-no':
      return node.value ? 'yes' : 'no';
    case 'name': {
      const amount = wording.amounts.get(node.name);
      return amount === undefined ? nameInWords(node.name) : `${nameInWords(node.name)} (${amount})`;
    }
    case 'negate':
      return `-${bracketed(node.of, 7, wording)}`;
    case 'not':
      if (isKnown(node.of)) return words(node.of, wording).replace(/is known$/, 'is not known');
      return `not ${bracketed(node.of, 4, wording)}`;
    case 'pair':
      return pairInWords(node, wording);
    case 'call':
      return callInWords(node, wording);
  }
}

function isKnown(node: FormulaNode): boolean {
  return node.kind === 'name' && /^body\.\w+Known$/.test(node.name);
}

function pairInWords({ operator, left, right }: PairNode, wording: Wording): string {
  const own = BINDING[operator];
  // What stands right of a minus or a stroke keeps its brackets: a - (b - c) is not a - b - c.
  return `${bracketed(left, own, wording)} ${SIGNS[operator]} ${bracketed(right, own + 1, wording)}`;
}

function bracketed(node: FormulaNode, least: number, wording: Wording): string {
  const said = words(node, wording);
  return bindingOf(node) < least ? `(${said})` : said;
}

function bindingOf(node: FormulaNode): number {
  if (node.kind === 'pair') return BINDING[node.operator];
  if (node.kind === 'not') return 3;
  if (node.kind === 'negate') return 6;
  return node.kind === 'call' && node.callee === 'if' ? 0 : 8;
}

function callInWords({ callee, args }: CallNode, wording: Wording): string {
  const said = args.map((arg) => words(arg, wording));
  switch (callee) {
    case 'max':
      return `(the larger of ${listed(said)})`;
    case 'min':
      return `(the smaller of ${listed(said)})`;
    case 'clamp':
      return `(${said[0]}, held between ${said[1]} and ${said[2]})`;
    case 'abs':
      return `(the size of ${said[0]})`;
    case 'sqrt':
      return `(the square root of ${said[0]})`;
    case 'if':
      return `${said[1]} where ${said[0]}, otherwise ${said[2]}`;
    default:
      return `${callee}(${said[0]})`;
  }
}

function listed(parts: readonly string[]): string {
  return `${parts.slice(0, -1).join(', ')} and ${parts[parts.length - 1]}`;
}
