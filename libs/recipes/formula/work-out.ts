import {
  FORMULA_VALUE_MAX,
  type CallNode,
  type FormulaFault,
  type FormulaValue,
  type PairNode,
} from './formula.js';

export type WorkedOut = { readonly value: FormulaValue } | { readonly fault: FormulaFault };

/** One operator on two values of matching kinds; `and` and `or` are decided before, since they may not need both. */
export function pairValue(node: PairNode, left: FormulaValue, right: FormulaValue): WorkedOut {
  switch (node.operator) {
    case '=':
      return { value: left === right };
    case '!=':
      return { value: left !== right };
    case 'and':
      return { value: left === true && right === true };
    case 'or':
      return { value: left === true || right === true };
    default:
      return numbersValue(node, node.operator, left as number, right as number);
  }
}

type NumberOperator = '+' | '-' | '*' | '/' | '<' | '<=' | '>' | '>=';

function numbersValue(
  { column }: PairNode,
  operator: NumberOperator,
  left: number,
  right: number,
): WorkedOut {
  switch (operator) {
    case '<':
      return { value: left < right };
    case '<=':
      return { value: left <= right };
    case '>':
      return { value: left > right };
    case '>=':
      return { value: left >= right };
    case '+':
      return bounded(left + right, column);
    case '-':
      return bounded(left - right, column);
    case '*':
      return bounded(left * right, column);
    case '/':
      return right === 0
        ? fault('DIVISION_BY_ZERO', column, 'A value is divided by zero.')
        : bounded(left / right, column);
  }
}

/** A function of numbers; `if` is decided before, since it needs one of its values only. */
export function callValue({ callee, column }: CallNode, args: readonly number[]): WorkedOut {
  switch (callee) {
    case 'abs':
      return { value: Math.abs(args[0]) };
    case 'min':
      return { value: Math.min(...args) };
    case 'max':
      return { value: Math.max(...args) };
    case 'clamp':
      return clampValue(args[0], args[1], args[2], column);
    case 'sqrt':
      return args[0] < 0
        ? fault('NEGATIVE_ROOT', column, 'The square root of a negative value is asked for.')
        : { value: Math.sqrt(args[0]) };
    case 'sin':
      return { value: Math.sin(args[0]) };
    case 'cos':
      return { value: Math.cos(args[0]) };
    case 'tan':
      return bounded(Math.tan(args[0]), column);
    case 'atan':
      return { value: Math.atan(args[0]) };
    case 'if':
      throw new Error('if is decided before its values are worked out');
  }
}

function clampValue(value: number, low: number, high: number, column: number): WorkedOut {
  if (low > high) {
    return fault('LIMITS_CROSSED', column, 'The lower limit of clamp is above its upper one.');
  }
  return { value: Math.min(Math.max(value, low), high) };
}

/** Every result is held to a size, so that a chain of products can neither overflow nor turn into nonsense. */
export function bounded(value: number, column: number): WorkedOut {
  if (Math.abs(value) <= FORMULA_VALUE_MAX) return { value };
  return fault('NOT_FINITE', column, 'The value grows beyond any amount of a pattern.');
}

function fault(code: FormulaFault['code'], column: number, message: string): WorkedOut {
  return { fault: { code, column, message } };
}
