import { nearestName } from '#spelling';
import { valueOf } from './evaluate-formula.js';
import type { CallNode, Formula, FormulaNode, FormulaProblem, PairNode, Quantity } from './formula.js';
import { quantityInWords } from './quantity-words.js';

export type CheckedFormula =
  | { readonly ok: true; readonly quantity: Quantity }
  | { readonly ok: false; readonly problems: readonly FormulaProblem[] };

/**
 * Whether a formula makes sense of its units, before anything is drafted by it.
 *
 * Shape      `scope` says what each known name is. `expected` says what is needed where the formula stands; a plain 0
 *            is any of them, since zero is zero in every unit.
 * Errors     values, all at once: unknown names with the nearest known one, units that do not go together (a length
 *            and an angle), and parts without names that have no value (a division by zero).
 * Rules      length x length = area, area / length = length, length / length = ratio, a root of an area = length; sums,
 *            comparisons, min, max and clamp take one kind; sin, cos and tan take an angle, atan gives one.
 */
export function checkFormula(
  formula: Formula,
  scope: ReadonlyMap<string, Quantity>,
  expected?: readonly Quantity[],
): CheckedFormula {
  const problems: FormulaProblem[] = [];
  const check = new Check(scope, problems);
  const { kind } = check.visit(formula.root);
  const asked = expected !== undefined && problems.length === 0 ? misfit(formula, kind, expected) : undefined;
  if (asked !== undefined) problems.push(asked);
  if (problems.length > 0) return { ok: false, problems };
  return { ok: true, quantity: settled(kind, expected) };
}

/** A zero without unit may be anything that is measured; unknown follows from a problem that was already said. */
type Kind = Quantity | 'zero' | 'unknown';

/** What a node is, and whether it has no names in it and so has its value already. */
interface Seen {
  readonly kind: Kind;
  readonly constant: boolean;
}

const MEASURED: readonly Kind[] = ['length', 'angle', 'ratio', 'area', 'zero', 'unknown'];

function settled(kind: Kind, expected: readonly Quantity[] | undefined): Quantity {
  if (kind !== 'zero' && kind !== 'unknown') return kind;
  return expected?.find((quantity) => MEASURED.includes(quantity)) ?? 'ratio';
}

function misfit(formula: Formula, kind: Kind, expected: readonly Quantity[]): FormulaProblem | undefined {
  if (kind === 'unknown' || expected.some((quantity) => fits(kind, quantity))) return undefined;
  const needed = expected.map(quantityInWords).join(' or ');
  const action =
    kind === 'ratio' && expected.includes('length')
      ? 'Write the unit behind the number, as in "12 mm" or "3/4 in".'
      : kind === 'ratio' && expected.includes('angle')
        ? 'Write the unit behind the number, as in "30 deg".'
        : `Write a formula that gives ${needed}.`;
  const { column } = formula.root.kind === 'pair' ? firstOf(formula.root) : formula.root;
  const message = `The formula gives ${quantityInWords(kind)}, and ${needed} is needed here.`;
  return { code: 'WRONG_UNITS', column, message, action };
}

function firstOf(node: FormulaNode): FormulaNode {
  let first = node;
  while (first.kind === 'pair') first = first.left;
  return first;
}

function fits(kind: Kind, quantity: Quantity): boolean {
  return kind === quantity || (kind === 'zero' && MEASURED.includes(quantity));
}

class Check {
  constructor(
    private readonly scope: ReadonlyMap<string, Quantity>,
    private readonly problems: FormulaProblem[],
  ) {}

  visit(node: FormulaNode): Seen {
    switch (node.kind) {
      case 'number':
        return {
          kind: node.value === 0 && node.quantity === 'ratio' ? 'zero' : node.quantity,
          constant: true,
        };
      case 'word':
      case 'yes-no':
        return { kind: node.kind, constant: true };
      case 'name':
        return { kind: this.named(node.name, node.column), constant: false };
      case 'negate':
        return this.one(node.of, MEASURED, 'A - in front takes a measured value');
      case 'not':
        return this.one(node.of, ['yes-no', 'unknown'], 'not takes a condition');
      case 'pair':
        return this.known(node, this.pair(node));
      case 'call':
        return this.known(node, this.call(node));
    }
  }

  // A part without names is worked out here, so that what can never have a value is said before anything is drafted.
  private known(node: PairNode | CallNode, { kind, inside }: { kind: Kind; inside: readonly Seen[] }): Seen {
    const constant = kind !== 'unknown' && inside.every((seen) => seen.constant);
    if (!constant) return { kind, constant };
    const worked = valueOf(node, new Map());
    if (!('fault' in worked)) return { kind, constant };
    const { column, message } = worked.fault;
    return {
      kind: this.problem(
        'NO_VALUE',
        column,
        message,
        'Mend this part; it has no value whatever the body is.',
      ),
      constant: false,
    };
  }

  private named(name: string, column: number): Kind {
    const quantity = this.scope.get(name);
    if (quantity !== undefined) return quantity;
    const near = nearestName(name, [...this.scope.keys()]);
    const action =
      near === undefined
        ? 'Name a parameter, a named value or a result of an earlier step, a level, or a measure of the body.'
        : `Did you mean "${near}"?`;
    return this.problem('UNKNOWN_NAME', column, `Nothing is named "${name}" here.`, action);
  }

  private one(inside: FormulaNode, allowed: readonly Kind[], rule: string): Seen {
    const seen = this.visit(inside);
    if (allowed.includes(seen.kind)) return seen;
    const message = `${rule}, and ${quantityInWords(seen.kind)} stands here.`;
    const kind = this.problem('WRONG_UNITS', firstOf(inside).column, message, 'Mend what stands here.');
    return { kind, constant: false };
  }

  private pair(node: PairNode): { kind: Kind; inside: readonly Seen[] } {
    const inside = [this.visit(node.left), this.visit(node.right)];
    if (node.operator === '/' && inside[1].constant && isZero(node.right)) {
      const action = 'Divide by something else; this has no value whatever the body is.';
      return { kind: this.problem('NO_VALUE', node.column, 'A value is divided by zero.', action), inside };
    }
    return { kind: this.pairKind(node, inside[0].kind, inside[1].kind), inside };
  }

  private pairKind(node: PairNode, left: Kind, right: Kind): Kind {
    if (left === 'unknown' || right === 'unknown') return 'unknown';
    switch (node.operator) {
      case '+':
      case '-':
        return this.same(node, [left, right], MEASURED) ?? 'unknown';
      case '*':
        return product(left, right) ?? this.noPair(node, left, right);
      case '/':
        return quotient(left, right) ?? this.noPair(node, left, right);
      case 'and':
      case 'or':
        return this.same(node, [left, right], ['yes-no']) ?? 'unknown';
      case '=':
      case '!=':
        return this.same(node, [left, right], [...MEASURED, 'word', 'yes-no']) === undefined
          ? 'unknown'
          : 'yes-no';
      default:
        return this.same(node, [left, right], MEASURED) === undefined ? 'unknown' : 'yes-no';
    }
  }

  private call(node: CallNode): { kind: Kind; inside: readonly Seen[] } {
    const inside = node.args.map((arg) => this.visit(arg));
    const kinds = inside.map((seen) => seen.kind);
    return { kind: kinds.includes('unknown') ? 'unknown' : this.callKind(node, kinds), inside };
  }

  private callKind(node: CallNode, kinds: readonly Kind[]): Kind {
    switch (node.callee) {
      case 'if':
        return this.chosen(node, kinds);
      case 'sin':
      case 'cos':
      case 'tan':
        return this.takes(node, kinds[0], 'angle') ? 'ratio' : 'unknown';
      case 'atan':
        return this.takes(node, kinds[0], 'ratio') ? 'angle' : 'unknown';
      case 'sqrt':
        if (fits(kinds[0], 'ratio')) return kinds[0];
        return this.takes(node, kinds[0], 'area') ? 'length' : 'unknown';
      default:
        return this.same(node, kinds, MEASURED) ?? 'unknown';
    }
  }

  private chosen(node: CallNode, [condition, ...values]: readonly Kind[]): Kind {
    if (condition !== 'yes-no') {
      const message = `The first value of if is a condition, and ${quantityInWords(condition)} stands here.`;
      return this.problem(
        'WRONG_UNITS',
        firstOf(node.args[0]).column,
        message,
        'Write a comparison, as in "a < b".',
      );
    }
    return this.same(node, values, [...MEASURED, 'word', 'yes-no']) ?? 'unknown';
  }

  private takes(node: CallNode, kind: Kind, needed: Quantity): boolean {
    if (fits(kind, needed)) return true;
    const message = `"${node.callee}" takes ${quantityInWords(needed)}, and ${quantityInWords(kind)} stands here.`;
    const action =
      needed === 'angle' ? 'Write an angle, as in "30 deg".' : `Write ${quantityInWords(needed)}.`;
    this.problem('WRONG_UNITS', firstOf(node.args[0]).column, message, action);
    return false;
  }

  /** The one kind that all are, or undefined after saying that they are not. */
  private same(
    node: PairNode | CallNode,
    kinds: readonly Kind[],
    allowed: readonly Kind[],
  ): Kind | undefined {
    const first = kinds.find((kind) => kind !== 'zero') ?? 'zero';
    const other = kinds.find((kind) => !(kind === first || (kind === 'zero' && MEASURED.includes(first))));
    const sign = node.kind === 'pair' ? node.operator : node.callee;
    if (other !== undefined) {
      const [a, b] = [quantityInWords(first), quantityInWords(other)];
      this.problem(
        'WRONG_UNITS',
        node.column,
        `${a} and ${b} do not go together in "${sign}".`,
        unitHint(first, other),
      );
      return undefined;
    }
    if (allowed.includes(first)) return first;
    const message = `"${sign}" does not take ${quantityInWords(first)}.`;
    this.problem('WRONG_UNITS', node.column, message, 'Mend what stands beside it.');
    return undefined;
  }

  private noPair(node: PairNode, left: Kind, right: Kind): Kind {
    const [a, b] = [quantityInWords(left), quantityInWords(right)];
    const verb = node.operator === '*' ? 'times' : 'divided by';
    const action = 'Nothing of a pattern has that unit; mend one of the two.';
    return this.problem('WRONG_UNITS', node.column, `${a} ${verb} ${b} has no meaning here.`, action);
  }

  private problem(code: FormulaProblem['code'], column: number, message: string, action: string): 'unknown' {
    this.problems.push({ code, column, message: message[0].toUpperCase() + message.slice(1), action });
    return 'unknown';
  }
}

/** Whether a part without names comes to nothing. */
function isZero(node: FormulaNode): boolean {
  const worked = valueOf(node, new Map());
  return !('fault' in worked) && worked.value === 0;
}

function unitHint(a: Kind, b: Kind): string {
  const pair = [a, b];
  if (pair.includes('ratio') && pair.includes('length'))
    return 'Write the unit behind the number, as in "12 mm" or "3/4 in".';
  if (pair.includes('ratio') && pair.includes('angle'))
    return 'Write the unit behind the number, as in "30 deg".';
  return 'Make them the same kind of amount.';
}

function product(left: Kind, right: Kind): Kind | undefined {
  if (!MEASURED.includes(left) || !MEASURED.includes(right)) return undefined;
  if (left === 'zero' || right === 'zero')
    return left === 'zero' && right !== 'zero' ? timesZero(right) : timesZero(left);
  if (left === 'ratio') return right;
  if (right === 'ratio') return left;
  return left === 'length' && right === 'length' ? 'area' : undefined;
}

// A plain 0 in a product is the number without unit.
function timesZero(other: Kind): Kind {
  return other === 'ratio' ? 'zero' : other;
}

function quotient(left: Kind, right: Kind): Kind | undefined {
  if (!MEASURED.includes(left) || !MEASURED.includes(right)) return undefined;
  if (right === 'ratio' || right === 'zero') return left;
  if (left === 'zero') return 'zero';
  if (left === right) return 'ratio';
  return left === 'area' && right === 'length' ? 'length' : undefined;
}
