import {
  COMPARISONS,
  FORMULA_DEPTH_MAX,
  FORMULA_LENGTH_MAX,
  FUNCTIONS,
  type Formula,
  type FormulaName,
  type FormulaNode,
  type FormulaProblem,
  type FunctionName,
  type PairOperator,
} from './formula.js';
import { tokensOf, type Token } from './tokens.js';

export type ParsedFormula =
  | { readonly ok: true; readonly formula: Formula }
  | { readonly ok: false; readonly problems: readonly FormulaProblem[] };

/**
 * Read a formula: what an amount is made of, in the words of the trade.
 *
 *     max(body.heelGirth + 20 mm, 0.8 * hem.front) / 4
 *     if(hemOpening = 'open', 0 mm, 1 1/2 in)
 *
 * Shape      + - * / with the usual order, comparisons (= != < <= > >=), and, or, not, `FUNCTIONS`, names with dots,
 *            numbers with mm, cm, m, in (fractions too), deg, %, and words in single quotes. There is nothing to call,
 *            assign or repeat with, so every formula ends.
 * Errors     values: the first place that cannot be read, with its column.
 * Edges      at most 400 characters, 16 deep; names are letters, digits and dots, so no name of a language's inside fits.
 * Cost       in proportion to the text; a few microseconds.
 */
export function parseFormula(text: string): ParsedFormula {
  const cut = tokensOf(text);
  if (!cut.ok) return { ok: false, problems: [cut.problem] };
  const reader = new Reader(cut.tokens, Math.min(text.length, FORMULA_LENGTH_MAX) + 1);
  try {
    const root = reader.whole();
    return { ok: true, formula: { text, root, names: namesOf(cut.tokens) } };
  } catch (error) {
    if (error instanceof Unreadable) return { ok: false, problems: [error.problem] };
    throw error;
  }
}

function namesOf(tokens: readonly Token[]): FormulaName[] {
  const names = new Map<string, number>();
  for (const token of tokens) {
    if (token.kind === 'name' && !names.has(token.name)) names.set(token.name, token.column);
  }
  return [...names].map(([name, column]) => ({ name, column }));
}

/** How a reading that cannot go on gets out of its calls; it never leaves `parseFormula`. */
class Unreadable extends Error {
  constructor(readonly problem: FormulaProblem) {
    super(problem.message);
  }
}

/** Binding strength of the operators between two values; a higher one binds tighter. */
const LEVELS: readonly (readonly PairOperator[])[] = [['or'], ['and'], COMPARISONS, ['+', '-'], ['*', '/']];
const NOT_LEVEL = 2;

class Reader {
  private at = 0;
  private depth = 0;

  constructor(
    private readonly tokens: readonly Token[],
    private readonly endColumn: number,
  ) {}

  whole(): FormulaNode {
    if (this.tokens.length === 0)
      throw unreadable(1, 'The formula is empty.', 'Write a number or a formula.');
    const root = this.level(0);
    if (this.at < this.tokens.length) throw this.leftOver();
    return root;
  }

  private level(index: number): FormulaNode {
    if (index === LEVELS.length) return this.signed();
    if (index === NOT_LEVEL && this.sign('not') !== undefined)
      return this.negated('not', () => this.level(NOT_LEVEL));
    let left = this.level(index + 1);
    // Each turn takes an operator.
    for (let count = 0; ; count++) {
      const operator = LEVELS[index].find((sign) => this.sign(sign) !== undefined);
      if (operator === undefined) return left;
      const column = this.column();
      if (index === NOT_LEVEL && count > 0) throw this.chained();
      this.at++;
      left = { kind: 'pair', operator, left, right: this.level(index + 1), column };
    }
  }

  private signed(): FormulaNode {
    if (this.sign('-') !== undefined) return this.negated('negate', () => this.signed());
    if (this.sign('+') !== undefined) {
      throw unreadable(this.column(), 'A + stands where a value is due.', 'Take it out.');
    }
    return this.value();
  }

  private negated(kind: 'negate' | 'not', inside: () => FormulaNode): FormulaNode {
    const column = this.column();
    this.at++;
    return { kind, of: this.deeper(column, inside), column };
  }

  private value(): FormulaNode {
    const token = this.tokens.at(this.at);
    if (token === undefined) throw this.ended();
    this.at++;
    if (token.kind !== 'sign') {
      if (token.kind === 'name' && this.sign('(') !== undefined) throw noFunction(token.name, token.column);
      return token;
    }
    const { sign, column } = token;
    if (sign === 'yes' || sign === 'no') return { kind: 'yes-no', value: sign === 'yes', column };
    if (sign === '(') return this.bracket(column);
    if (Object.hasOwn(FUNCTIONS, sign)) return this.call(sign as FunctionName, column);
    throw unreadable(
      column,
      `"${sign}" stands where a value is due.`,
      'Write a number, a name or a bracket here.',
    );
  }

  private bracket(column: number): FormulaNode {
    const inside = this.deeper(column, () => this.level(0));
    this.close(column);
    return inside;
  }

  private call(callee: FunctionName, column: number): FormulaNode {
    if (this.sign('(') === undefined) {
      throw unreadable(
        column,
        `"${callee}" is a function and has no bracket behind it.`,
        `Write ${callee}(...).`,
      );
    }
    const opened = this.column();
    const { least, most } = FUNCTIONS[callee];
    const args: FormulaNode[] = [];
    do {
      this.at++;
      args.push(this.deeper(opened, () => this.level(0)));
    } while (this.sign(',') !== undefined && args.length <= most);
    if (args.length < least || args.length > most) {
      const needs = least === most ? `${least}` : `${least} to ${most}`;
      const found = args.length > most ? `more than ${most}` : `${args.length}`;
      throw unreadable(
        column,
        `${callee} takes ${needs} values and has ${found}.`,
        'Mend what stands in its bracket.',
      );
    }
    this.close(opened);
    return { kind: 'call', callee, args, column };
  }

  private deeper(column: number, inside: () => FormulaNode): FormulaNode {
    this.depth++;
    if (this.depth > FORMULA_DEPTH_MAX) {
      throw new Unreadable({
        code: 'FORMULA_TOO_LARGE',
        column,
        message: `The formula is more than ${FORMULA_DEPTH_MAX} deep here.`,
        action: 'Give its inner parts names of their own.',
      });
    }
    const node = inside();
    this.depth--;
    return node;
  }

  private close(opened: number): void {
    if (this.sign(')') === undefined) {
      const found = this.at < this.tokens.length ? 'is not closed where it should be' : 'is not closed';
      throw unreadable(
        this.column(),
        `The bracket at column ${opened} ${found}.`,
        'Add the ) or the sign missing here.',
      );
    }
    this.at++;
  }

  private sign(sign: string): Token | undefined {
    const token = this.tokens.at(this.at);
    return this.at < this.tokens.length && token?.kind === 'sign' && token.sign === sign ? token : undefined;
  }

  private column(): number {
    return this.at < this.tokens.length ? this.tokens[this.at].column : this.endColumn;
  }

  private ended(): Unreadable {
    return unreadable(
      this.endColumn,
      'The formula ends where a value is due.',
      'Add the value, or take the last sign out.',
    );
  }

  private chained(): Unreadable {
    const action = 'Compare two values at a time, as in "low < x and x < high".';
    return unreadable(this.column(), 'Two comparisons stand in a row.', action);
  }

  private leftOver(): Unreadable {
    const token = this.tokens[this.at];
    if (token.kind !== 'sign') {
      const action = 'Put an operator between them; a fraction of an inch is written "1 1/2 in".';
      return unreadable(token.column, 'Two values stand side by side.', action);
    }
    const action =
      token.sign === ')'
        ? 'Take it out, or open a bracket for it.'
        : 'Take it out, or mend what stands before it.';
    return unreadable(token.column, `"${token.sign}" stands where the formula should end.`, action);
  }
}

function noFunction(name: string, column: number): Unreadable {
  const known = Object.keys(FUNCTIONS).join(', ');
  return unreadable(
    column,
    `There is no function "${name}".`,
    `Use one of: ${known}; or write * before the bracket.`,
  );
}

function unreadable(column: number, message: string, action: string): Unreadable {
  return new Unreadable({ code: 'NOT_A_FORMULA', column, message, action });
}
