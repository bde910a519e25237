import { nearestName } from '#spelling';
import { checkFormula } from '../formula/check-formula.js';
import {
  FORMULA_WORDS,
  type Formula,
  type FormulaNode,
  type FormulaProblem,
  type Quantity,
} from '../formula/formula.js';
import { parseFormula } from '../formula/parse-formula.js';
import { quantityInWords } from '../formula/quantity-words.js';
import { STANDING_QUANTITIES } from '../standing-names.js';
import type { Names, Standing } from './names.js';
import { RECIPE_PROBLEMS_MAX, type RecipeProblem, type RecipeProblemCode } from './recipe-problem.js';

/** A field of a recipe and the step it is in. */
export interface Place {
  readonly path: readonly (string | number)[];
  readonly step?: number | undefined;
  readonly standing?: Standing;
}

/** Why a name that is nowhere known is not known here; undefined where nothing more can be said. */
export type WhyUnknown = (
  name: string,
  place: Place,
) => { readonly code: RecipeProblemCode; readonly action: string } | undefined;

/** Gathers what is wrong with the formulas and references of a recipe. */
export class RecipeReader {
  readonly problems: RecipeProblem[] = [];

  /** Every name that a formula or reference has used. */
  readonly used = new Set<string>();

  constructor(
    /** The words of each choice. */
    private readonly choices: ReadonlyMap<string, readonly string[]>,
    private readonly whyUnknown: WhyUnknown,
  ) {}

  get isFull(): boolean {
    return this.problems.length >= RECIPE_PROBLEMS_MAX;
  }

  problem(place: Place, problem: Omit<RecipeProblem, 'path' | 'step'>): void {
    if (this.isFull) return;
    const { path, step } = place;
    this.problems.push({ path, ...(step === undefined ? {} : { step }), ...problem });
  }

  /** Read a formula; its quantity where that could be told. */
  formula(text: unknown, place: Place, names: Names, expected?: readonly Quantity[]): Quantity | undefined {
    if (typeof text !== 'string' || this.isFull) return undefined;
    const parsed = parseFormula(text);
    const allowed = expected === undefined ? 'a formula' : expected.map(quantityInWords).join(' or ');
    if (!parsed.ok) {
      for (const problem of parsed.problems) this.problem(place, { ...problem, allowed });
      return undefined;
    }
    const { formula } = parsed;
    for (const { name } of formula.names) this.used.add(name);
    this.words(formula.root, place);
    const scope = scopeOf(formula, names, place.standing);
    const checked = checkFormula(formula, scope, expected);
    if (checked.ok) return checked.quantity;
    for (const problem of checked.problems)
      this.problem(place, { ...this.reworded(problem, formula, place, names), allowed });
    return undefined;
  }

  /** Read a reference to a point. */
  point(reference: unknown, place: Place, names: Names): void {
    if (typeof reference !== 'string') return;
    this.used.add(reference);
    if (names.isPoint(reference, place.standing)) return;
    const why = this.whyUnknown(reference, place);
    const near = names.nearest(reference, place.standing, 'point');
    const action =
      why?.action ??
      (near === undefined
        ? 'Name a corner of a piece as in "front.fork", or a point that an earlier step left with "as".'
        : `Did you mean "${near}"?`);
    const message = `No point is named ${quoted(reference)} here.`;
    this.problem(place, { code: why?.code ?? 'UNKNOWN_NAME', allowed: 'a point', message, action });
  }

  /** Read a sentence with formulas in braces. */
  sentence(text: unknown, place: Place, names: Names, more: ReadonlySet<string>): void {
    if (typeof text !== 'string') return;
    let at = 0;
    // Each turn goes on behind a bracket; there are no more of them than letters.
    for (;;) {
      const open = text.indexOf('{', at);
      if (open < 0) return;
      const close = text.indexOf('}', open);
      if (close < 0) {
        const message = 'A brace is not closed.';
        const action = 'Close it, or write the sentence without.';
        this.problem(place, {
          code: 'NOT_A_FORMULA',
          column: open + 1,
          allowed: 'a sentence',
          message,
          action,
        });
        return;
      }
      const inside = text.slice(open + 1, close);
      if (!more.has(inside)) this.braced(inside, open + 1, place, names);
      at = close + 1;
    }
  }

  private braced(inside: string, offset: number, place: Place, names: Names): void {
    const before = this.problems.length;
    this.formula(inside, place, names);
    for (let index = before; index < this.problems.length; index++) {
      const problem = this.problems[index];
      this.problems[index] = { ...problem, column: (problem.column ?? 1) + offset };
    }
  }

  private reworded(
    problem: FormulaProblem,
    formula: Formula,
    place: Place,
    names: Names,
  ): FormulaProblem & { code: RecipeProblemCode } {
    if (problem.code !== 'UNKNOWN_NAME') return problem;
    const name = nameAt(formula.text, problem.column);
    if (names.isPoint(name, place.standing)) {
      const message = `"${name}" is a point, and an amount is needed here.`;
      return { ...problem, code: 'WRONG_UNITS', message, action: `Write ${name}.x or ${name}.y.` };
    }
    const why = this.whyUnknown(name, place);
    if (why !== undefined) return { ...problem, ...why } as FormulaProblem;
    const near = names.nearest(name, place.standing, 'amount');
    if (near !== undefined) return { ...problem, action: `Did you mean "${near}"?` };
    return name.startsWith('body.') ? { ...problem, action: BODY_NAMES } : problem;
  }

  // A word that a choice can never be is a slip that would otherwise never show.
  private words(node: FormulaNode, place: Place): void {
    switch (node.kind) {
      case 'pair':
        this.comparedWords(node.left, node.right, place);
        this.comparedWords(node.right, node.left, place);
        this.words(node.left, place);
        this.words(node.right, place);
        return;
      case 'call':
        for (const arg of node.args) this.words(arg, place);
        return;
      case 'negate':
      case 'not':
        this.words(node.of, place);
        return;
      default:
        return;
    }
  }

  private comparedWords(choice: FormulaNode, word: FormulaNode, place: Place): void {
    if (choice.kind !== 'name' || word.kind !== 'word') return;
    const words = this.choices.get(choice.name);
    if (words === undefined || words.includes(word.value)) return;
    const near = nearestName(word.value, words);
    this.problem(place, {
      code: 'WITHOUT_EFFECT',
      column: word.column,
      allowed: words.join(', '),
      message: `"${choice.name}" can never be "${word.value}".`,
      action: near === undefined ? `Write one of ${words.join(', ')}.` : `Did you mean "${near}"?`,
    });
  }
}

/** What may be the name of a parameter, a value or a result; `takenBy` says what else has it where something has. */
export function nameProblem(
  name: string,
  names: Names,
  stem: string = name,
  takenBy?: string,
): Omit<RecipeProblem, 'path' | 'step'> | undefined {
  const allowed = 'a name of 1 to 40 letters and digits';
  const no = (message: string, action: string) => ({ code: 'WRONG_NAME' as const, allowed, message, action });
  if (!/^[A-Za-z][A-Za-z0-9]{0,39}$/.test(stem)) {
    return no(`${quoted(name)} is not a name.`, `Write ${allowed}, beginning with a letter, as in "hemIn".`);
  }
  if (FORMULA_WORDS.has(stem) || RESERVED.has(stem)) {
    return no(`"${stem}" means something of its own in formulas.`, 'Choose another name.');
  }
  if (names.has(name)) {
    const by = takenBy ?? 'a name that is always there';
    return {
      ...no(
        `"${name}" is taken by ${by}.`,
        `Choose another name; what ${quoted(name)} means is never changed.`,
      ),
      allowed: 'a name that nothing before it has',
    };
  }
  return undefined;
}

const BODY_NAMES = `Measures of the body are ${[...STANDING_QUANTITIES.keys()]
  .filter((name) => /^body\.[a-z]+$/.test(name))
  .join(', ')}.`;

/** What the names of the house begin with. */
const RESERVED: ReadonlySet<string> = new Set([
  'front',
  'back',
  'this',
  'block',
  'body',
  'level',
  'band',
  'allowed',
  'x',
  'y',
]);

function scopeOf(formula: Formula, names: Names, standing: Standing): ReadonlyMap<string, Quantity> {
  const scope = new Map<string, Quantity>();
  for (const { name } of formula.names) {
    const quantity = names.quantity(name, standing);
    if (quantity !== undefined) scope.set(name, quantity);
  }
  return scope;
}

function nameAt(text: string, column: number): string {
  return /^[A-Za-z0-9.]*/.exec(text.slice(column - 1))?.[0] ?? '';
}

export function quoted(text: string): string {
  return JSON.stringify(text.length > 60 ? `${text.slice(0, 60)}...` : text);
}
