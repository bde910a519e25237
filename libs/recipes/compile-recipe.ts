import { OPERATIONS, type Argument, type Operation } from '#alterations';
import type { PieceRole } from '#pattern';
import { checkFormula } from './formula/check-formula.js';
import type { Formula, Quantity } from './formula/formula.js';
import { parseFormula } from './formula/parse-formula.js';
import type { GuardStep, OperationStep, Parameter, Recipe, Step } from './recipe.js';
import { RecipeError } from './recipe-error.js';
import { STANDING_POINTS, STANDING_QUANTITIES } from './standing-names.js';

/** A recipe with every formula read, every reference found and every operation looked up: ready to run many times. */
export interface CompiledRecipe {
  readonly recipe: Recipe;
  /** What each share is a share of. */
  readonly shares: ReadonlyMap<string, CompiledFormula>;
  readonly steps: readonly CompiledStep[];
}

export interface CompiledFormula {
  readonly formula: Formula;
  readonly quantity: Quantity;
  /** Names in it that are read off the block or the wearer. */
  readonly standing: readonly string[];
}

/** The range that a guard's parameter may have, to be said in words. */
export interface AllowedRange {
  readonly kind: 'allowed-range';
}

/** Words with formulas between them. */
export type CompiledText = readonly (string | CompiledFormula | AllowedRange)[];

export type CompiledArgument =
  | { readonly kind: 'formula'; readonly value: CompiledFormula }
  | { readonly kind: 'point'; readonly name: string; readonly standing: boolean }
  | { readonly kind: 'word'; readonly word: string };

/** An operation on one piece, or on the pair, or on points. */
export interface CompiledOperation {
  readonly kind: 'do';
  readonly number: number;
  readonly operation: Operation;
  readonly role: PieceRole;
  readonly args: readonly (readonly [name: string, CompiledArgument])[];
  /** Each result with the name it is known by. */
  readonly results: readonly (readonly [result: string, name: string])[];
}

export interface CompiledGuard {
  readonly kind: 'guard';
  readonly number: number;
  readonly step: GuardStep;
  readonly condition: CompiledFormula;
  readonly message: CompiledText;
  readonly action: CompiledText;
  readonly otherwise: CompiledText | undefined;
  readonly parameter: Parameter | undefined;
  readonly min: CompiledFormula | undefined;
  readonly max: CompiledFormula | undefined;
  readonly at: { readonly name: string; readonly standing: boolean } | undefined;
  readonly numbers: readonly (readonly [name: string, CompiledFormula])[];
}

export type CompiledStep =
  | CompiledOperation
  | CompiledGuard
  | {
      readonly kind: 'let' | 'report';
      readonly number: number;
      readonly name: string;
      readonly value: CompiledFormula;
    }
  | {
      readonly kind: 'when';
      readonly number: number;
      readonly condition: CompiledFormula;
      readonly steps: readonly CompiledStep[];
    };

/**
 * Make a recipe ready to run.
 *
 * Shape   steps are numbered from 1 in reading order, those inside `when` too. A step for both pieces becomes two.
 * Errors  RecipeError for a recipe that does not hold together: recipes are validated before they are stored, so here
 *         it is a bug, or a recipe from before an operation changed.
 * Cost    in proportion to the text, about a millisecond for a long recipe; made once.
 */
export function compileRecipe(
  recipe: Recipe,
  operations: ReadonlyMap<string, Operation> = OPERATIONS,
): CompiledRecipe {
  const scope: Scope = {
    quantities: new Map(STANDING_QUANTITIES),
    points: new Set(STANDING_POINTS),
    parameters: new Map(recipe.parameters.map((parameter) => [parameter.name, parameter])),
  };
  const shares = new Map<string, CompiledFormula>();
  const compiler = new Compiler(operations);
  for (const parameter of recipe.parameters) {
    if ('oneOf' in parameter) continue;
    if (parameter.shareOf !== undefined)
      shares.set(parameter.name, compiler.formula(parameter.shareOf, scope, 'length'));
  }
  for (const parameter of recipe.parameters) scope.quantities.set(parameter.name, quantityOf(parameter));
  return { recipe, shares, steps: compiler.steps(recipe.steps, scope) };
}

function quantityOf(parameter: Parameter): Quantity {
  return 'oneOf' in parameter ? 'word' : parameter.quantity;
}

interface Scope {
  readonly quantities: Map<string, Quantity>;
  readonly points: Set<string>;
  readonly parameters: ReadonlyMap<string, Parameter>;
}

class Compiler {
  private count = 0;

  constructor(private readonly operations: ReadonlyMap<string, Operation>) {}

  steps(steps: readonly Step[], scope: Scope): CompiledStep[] {
    return steps.flatMap((step) => this.step(step, scope));
  }

  private step(step: Step, scope: Scope): CompiledStep[] {
    const number = ++this.count;
    if ('do' in step) return this.operation(step, number, scope);
    if ('let' in step) {
      const value = this.formula(step.is, scope);
      scope.quantities.set(step.let, value.quantity);
      return [{ kind: 'let', number, name: step.let, value }];
    }
    if ('guard' in step) return [this.guard(step, number, scope)];
    if ('report' in step)
      return [{ kind: 'report', number, name: step.report, value: this.formula(step.value, scope) }];
    const inside: Scope = {
      ...scope,
      quantities: new Map(scope.quantities),
      points: new Set(scope.points),
    };
    const condition = this.formula(step.when, scope, 'yes-no');
    return [{ kind: 'when', number, condition, steps: this.steps(step.steps, inside) }];
  }

  private operation(step: OperationStep, number: number, scope: Scope): CompiledOperation[] {
    const operation = this.operations.get(step.do);
    if (operation === undefined)
      throw new RecipeError('UNKNOWN_OPERATION', number, `there is no operation "${step.do}"`);
    const onPieces = operation.scope === 'piece' || (operation.scope === 'points' && step.on !== undefined);
    const roles = onPieces ? rolesOf(step) : [undefined];
    return roles.map((role) => {
      const args = this.arguments(step, operation, role, number, scope);
      return {
        kind: 'do',
        number,
        operation,
        role: role ?? 'front',
        args,
        results: this.results(step, operation, role, scope),
      };
    });
  }

  private arguments(
    step: OperationStep,
    operation: Operation,
    role: PieceRole | undefined,
    number: number,
    scope: Scope,
  ): CompiledOperation['args'] {
    const given = step.with ?? {};
    const unknown = Object.keys(given).find((name) => !Object.hasOwn(operation.arguments, name));
    if (unknown !== undefined)
      throw new RecipeError('UNKNOWN_ARGUMENT', number, `"${operation.name}" takes no "${unknown}"`);
    return Object.entries(operation.arguments).flatMap(([name, argument]) => {
      if (!Object.hasOwn(given, name)) {
        if (argument.optional === true) return [];
        throw new RecipeError('ARGUMENT_MISSING', number, `"${operation.name}" needs "${name}"`);
      }
      return [[name, this.argument(given[name], argument, role, number, scope)] as const];
    });
  }

  private argument(
    text: string,
    argument: Argument,
    role: PieceRole | undefined,
    number: number,
    scope: Scope,
  ): CompiledArgument {
    switch (argument.kind) {
      case 'point':
        return { kind: 'point', ...this.point(onPiece(text, role), number, scope) };
      case 'seam':
      case 'choice':
        if (argument.oneOf?.includes(text) !== true)
          throw new RecipeError(
            'UNKNOWN_WORD',
            number,
            `"${text}" is not one of ${argument.oneOf?.join(', ') ?? ''}`,
          );
        return { kind: 'word', word: text };
      case 'text':
        return { kind: 'word', word: text };
      default:
        return { kind: 'formula', value: this.formula(onPiece(text, role), scope, argument.kind) };
    }
  }

  private point(
    name: string,
    number: number,
    { points }: Scope,
  ): { readonly name: string; readonly standing: boolean } {
    if (!points.has(name)) throw new RecipeError('UNKNOWN_POINT', number, `there is no point "${name}"`);
    return { name, standing: STANDING_POINTS.has(name) };
  }

  private results(
    step: OperationStep,
    operation: Operation,
    role: PieceRole | undefined,
    scope: Scope,
  ): CompiledOperation['results'] {
    const { as } = step;
    if (as === undefined) return [];
    return resultNames(operation, as, role).map(([result, name]) => {
      const kind = operation.results[result];
      if (kind === 'point') {
        scope.points.add(name);
        scope.quantities.set(`${name}.x`, 'length').set(`${name}.y`, 'length');
      } else scope.quantities.set(name, kind);
      return [result, name] as const;
    });
  }

  private guard(step: GuardStep, number: number, scope: Scope): CompiledGuard {
    const optional = (text: string | undefined): CompiledFormula | undefined =>
      text === undefined ? undefined : this.formula(text, scope);
    return {
      kind: 'guard',
      number,
      step,
      condition: this.formula(step.guard, scope, 'yes-no'),
      message: this.text(step.message, scope),
      action: this.text(step.action, scope),
      otherwise: step.otherwise === undefined ? undefined : this.text(step.otherwise, scope),
      parameter: step.of === undefined ? undefined : scope.parameters.get(step.of),
      min: optional(step.allowed?.min),
      max: optional(step.allowed?.max),
      at: step.place?.at === undefined ? undefined : this.point(step.place.at, number, scope),
      numbers: Object.entries(step.numbers ?? {}).map(
        ([name, text]) => [name, this.formula(text, scope)] as const,
      ),
    };
  }

  private text(text: string, scope: Scope): CompiledText {
    return partsOfText(text).map((part) => {
      if (typeof part === 'string') return part;
      return part.formula === ALLOWED ? { kind: 'allowed-range' } : this.formula(part.formula, scope);
    });
  }

  formula(text: string, scope: Scope, expected?: Quantity): CompiledFormula {
    const parsed = parseFormula(text);
    if (!parsed.ok)
      throw new RecipeError('BAD_FORMULA', this.count, `${text}: ${parsed.problems[0].message}`);
    const { formula } = parsed;
    const checked = checkFormula(formula, scope.quantities, expected === undefined ? undefined : [expected]);
    if (!checked.ok)
      throw new RecipeError('BAD_FORMULA', this.count, `${text}: ${checked.problems[0].message}`);
    const standing = formula.names.map(({ name }) => name).filter((name) => STANDING_QUANTITIES.has(name));
    return { formula, quantity: checked.quantity, standing };
  }
}

const ROLES = ['front', 'back'] as const;
const ALLOWED = 'allowed';

function rolesOf({ on }: OperationStep): readonly PieceRole[] {
  return on === 'front' || on === 'back' ? [on] : ROLES;
}

/** A formula or reference as it reads on one piece: `this.` is that piece. */
export function onPiece(text: string, role: PieceRole | undefined): string {
  return role === undefined ? text : text.replaceAll(/\bthis\./g, `${role}.`);
}

/** The names an operation's results get: under the piece it works on, and with their own name where there are several. */
export function resultNames(
  operation: Pick<Operation, 'results'>,
  as: string,
  role: PieceRole | undefined,
): (readonly [result: string, name: string])[] {
  const results = Object.keys(operation.results);
  const prefix = role === undefined ? '' : `${role}.`;
  return results.map((result) => [
    result,
    results.length === 1 ? `${prefix}${as}` : `${prefix}${as}.${result}`,
  ]);
}

/** A sentence cut into its words and its formulas in braces. */
export function partsOfText(
  text: string,
): (string | { readonly formula: string; readonly column: number })[] {
  const parts: (string | { readonly formula: string; readonly column: number })[] = [];
  let from = 0;
  for (const match of text.matchAll(/\{([^{}]*)\}/g)) {
    if (match.index > from) parts.push(text.slice(from, match.index));
    parts.push({ formula: match[1], column: match.index + 2 });
    from = match.index + match[0].length;
  }
  if (from < text.length) parts.push(text.slice(from));
  return parts;
}
