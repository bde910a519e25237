import {
  Arguments,
  type AlterationResult,
  type AlterationTolerances,
  type OperationValue,
  type Wearer,
} from '#alterations';
import { distance, GeometryError, type Point } from '#geometry';
import { cornersOf, dartsOf, PatternError, pieceOf, type Block, type Finding, type Moved } from '#pattern';
import type {
  CompiledFormula,
  CompiledGuard,
  CompiledOperation,
  CompiledRecipe,
  CompiledStep,
} from './compile-recipe.js';
import { evaluateFormula } from './formula/evaluate-formula.js';
import type { FormulaFault, FormulaValue, Quantity } from './formula/formula.js';
import { guardFinding } from './guard-finding.js';
import type { AmountParameter, Parameter } from './recipe.js';
import { standingPoint, standingValue } from './standing-names.js';

/** What a parameter was sent as: an amount (mm, degrees or a plain ratio), the share of its `shareOf`, or a word. */
export type ParameterValue = number | string | { readonly share: number };
export type ParameterValues = Readonly<Record<string, ParameterValue>>;

/** A figure told beside the pieces. */
export interface Report {
  readonly name: string;
  readonly quantity: Quantity;
  readonly value: FormulaValue;
}

export interface RecipeResult extends AlterationResult {
  readonly reports: readonly Report[];
  /** The number of the step that could not be taken. */
  readonly refusedAt?: number;
}

/**
 * Follow a recipe on a block.
 *
 * Shape     the altered block with what moved, what there is to say and the reported figures; or, when refused, the
 *           block as it was with the reason and the number of the step. Parameters left out take their defaults; limits
 *           are the door's matter.
 * Units     as `ParameterValue` says.
 * Errors    none thrown for a recipe that was validated and a block that passed `checkBlock`: what a step cannot do is
 *           a finding.
 * Cost      the operations' own; reading the formulas adds a few microseconds a step. Every step is taken once at most.
 */
export function runRecipe(
  compiled: CompiledRecipe,
  parameters: ParameterValues,
  block: Block,
  wearer: Wearer,
  tolerances: AlterationTolerances,
): RecipeResult {
  const unmet = unmetNeeds(compiled, block, wearer);
  if (unmet.length > 0)
    return { block, moved: [], findings: unmet, refused: true, reports: [], refusedAt: 0 };
  const run = new Run(compiled, parameters, block, wearer, tolerances);
  const refusal = run.parameters() ?? run.steps(compiled.steps) ?? run.ended();
  if (refusal === undefined) return run.result();
  const findings = refusal.findings.map((finding) => ({ pointer: wearer.pointer, ...finding }));
  return { block, moved: [], findings, refused: true, reports: [], refusedAt: refusal.step };
}

/** Why a recipe ended early. */
interface Refusal {
  readonly step: number;
  readonly findings: readonly Finding[];
}

class Run {
  private block: Block;
  private readonly values = new Map<string, FormulaValue>();
  private readonly points = new Map<string, Point>();
  /** Standing names that were read since the block last changed. */
  private readonly read = new Set<string>();
  private readonly moved: Moved[] = [];
  private readonly findings: Finding[] = [];
  private readonly reports: Report[] = [];
  private stretchMm: number | undefined;
  private waistMm: number | undefined;
  /** Guards that refuse and have not held; more of them may follow directly. */
  private pending: Refusal | undefined;
  private last = 0;

  constructor(
    private readonly compiled: CompiledRecipe,
    private readonly sent: ParameterValues,
    private readonly before: Block,
    private readonly wearer: Wearer,
    private readonly tolerances: AlterationTolerances,
  ) {
    this.block = before;
  }

  parameters(): Refusal | undefined {
    for (const parameter of this.compiled.recipe.parameters) {
      const value = this.parameterValue(parameter);
      if (typeof value === 'object') return this.noValue(0, value.fault);
      this.values.set(parameter.name, value);
    }
    return undefined;
  }

  private parameterValue(parameter: Parameter): FormulaValue | { readonly fault: FormulaFault } {
    const sent = this.sent[parameter.name] ?? defaultOf(parameter);
    if (typeof sent === 'object') {
      const whole = this.compiled.shares.get(parameter.name);
      if (whole === undefined) throw new Error(`the parameter ${parameter.name} is no share of anything`);
      const worked = this.evaluated(whole);
      return 'fault' in worked ? worked : sent.share * (worked.value as number);
    }
    if ('quantity' in parameter && parameter.quantity === 'angle') return ((sent as number) * Math.PI) / 180;
    return sent;
  }

  steps(steps: readonly CompiledStep[]): Refusal | undefined {
    for (const step of steps) {
      const gathers = step.kind === 'let' || (step.kind === 'guard' && step.step.level === 'refuse');
      if (this.pending !== undefined && !gathers) return this.pending;
      const refusal = this.step(step);
      if (refusal !== undefined) return this.pending ?? refusal;
    }
    return this.pending;
  }

  private step(step: CompiledStep): Refusal | undefined {
    this.last = step.number;
    switch (step.kind) {
      case 'do':
        return this.operate(step);
      case 'guard':
        return this.guard(step);
      case 'when': {
        const holds = this.evaluated(step.condition);
        if ('fault' in holds) return this.noValue(step.number, holds.fault);
        return holds.value === true ? this.steps(step.steps) : undefined;
      }
      default: {
        const worked = this.evaluated(step.value);
        if ('fault' in worked) return this.noValue(step.number, worked.fault);
        if (step.kind === 'let') this.values.set(step.name, worked.value);
        else this.reports.push({ name: step.name, quantity: step.value.quantity, value: worked.value });
        return undefined;
      }
    }
  }

  private operate(step: CompiledOperation): Refusal | undefined {
    const given: Record<string, OperationValue> = {};
    for (const [name, argument] of step.args) {
      if (argument.kind === 'word') given[name] = argument.word;
      else if (argument.kind === 'point') given[name] = this.point(argument);
      else {
        const worked = this.evaluated(argument.value);
        if ('fault' in worked) return this.noValue(step.number, worked.fault);
        given[name] = worked.value;
      }
    }
    const outcome = attempted(() =>
      step.operation.run({
        before: this.before,
        block: this.block,
        role: step.role,
        args: new Arguments(given),
        wearer: this.wearer,
        tolerances: this.tolerances,
      }),
    );
    if (outcome === undefined) return { step: step.number, findings: [notPossible(step)] };
    if (outcome.state === 'refused') {
      const { finding } = outcome;
      return {
        step: step.number,
        findings: [{ ...finding, numbers: { ...finding.numbers, step: step.number } }],
      };
    }
    const { block, results = {}, findings = [], stretchMm, waistMm } = outcome.value;
    this.changeTo(block);
    this.moved.push(...outcome.moved);
    this.findings.push(...findings);
    this.stretchMm = stretchMm ?? this.stretchMm;
    this.waistMm = waistMm ?? this.waistMm;
    for (const [result, name] of step.results) this.keep(name, results[result]);
    return undefined;
  }

  private keep(name: string, value: OperationValue): void {
    if (typeof value !== 'object') {
      this.values.set(name, value);
      return;
    }
    this.points.set(name, value);
    this.values.set(`${name}.x`, value.x).set(`${name}.y`, value.y);
  }

  private changeTo(block: Block): void {
    if (block === this.block) return;
    this.block = block;
    for (const name of this.read) this.values.delete(name);
    this.read.clear();
  }

  private point({ name, standing }: { readonly name: string; readonly standing: boolean }): Point {
    const point = standing ? standingPoint(name, this.surroundings()) : this.points.get(name);
    if (point === undefined) throw new Error(`the point ${name} was not given`);
    return point;
  }

  private surroundings(): { before: Block; block: Block; wearer: Wearer } {
    return { before: this.before, block: this.block, wearer: this.wearer };
  }

  private evaluated({ formula, standing }: CompiledFormula): ReturnType<typeof evaluateFormula> {
    for (const name of standing) {
      if (this.values.has(name)) continue;
      const value = attempted(() => standingValue(name, this.surroundings()));
      if (value === undefined) return { fault: missing(name) };
      this.values.set(name, value);
      this.read.add(name);
    }
    return evaluateFormula(formula, this.values);
  }

  private guard(step: CompiledGuard): Refusal | undefined {
    const holds = this.evaluated(step.condition);
    if ('fault' in holds) return this.noValue(step.number, holds.fault);
    if (holds.value === true) return undefined;
    const found = guardFinding(step, {
      value: (formula) => this.evaluated(formula),
      point: (reference) => this.point(reference),
      sent: this.sent,
      share: (name) => this.compiled.shares.get(name),
      pointer: this.wearer.pointer,
    });
    if ('fault' in found) return this.noValue(step.number, found.fault);
    if (step.step.level !== 'refuse') {
      this.findings.push(found);
      return undefined;
    }
    this.pending = {
      step: this.pending?.step ?? step.number,
      findings: [...(this.pending?.findings ?? []), found],
    };
    return undefined;
  }

  /** Whether the last step left both outlines whole. */
  ended(): Refusal | undefined {
    const open = ROLES.filter((role) => isOpen(this.block, role));
    if (open.length === 0) return undefined;
    const finding: Finding = {
      code: 'OUTLINE_LEFT_OPEN',
      level: 'stop',
      message: `After the last step the outline of the ${open.join(' and the ')} is open.`,
      action: 'End the recipe with "close up", and redraw every seam whose end was moved.',
    };
    return { step: this.last, findings: [finding] };
  }

  private noValue(step: number, { column, message }: FormulaFault): Refusal {
    const finding: Finding = {
      code: 'NO_VALUE',
      level: 'stop',
      message: `Step ${step} has no value on this block (column ${column}): ${message}`,
      action: 'Change the amounts, or mend the step for blocks like this one.',
      numbers: { step },
    };
    return { step, findings: [finding] };
  }

  result(): RecipeResult {
    const stretch = this.stretchMm === undefined ? {} : { intendedStretchMm: this.stretchMm };
    const waist = this.waistMm === undefined ? {} : { intendedWaistMm: this.waistMm };
    return {
      block: this.block,
      moved: [...cornersMoved(this.compiled.recipe.name, this.before, this.block), ...this.moved],
      findings: this.findings,
      refused: false,
      reports: this.reports,
      ...stretch,
      ...waist,
    };
  }
}

const ROLES = ['front', 'back'] as const;

export function defaultOf(parameter: Parameter): ParameterValue {
  if ('oneOf' in parameter) return parameter.default;
  return isShare(parameter) ? { share: parameter.default } : parameter.default;
}

function isShare({ shareOf }: AmountParameter): boolean {
  return shareOf !== undefined;
}

function missing(name: string): FormulaFault {
  return { code: 'NOT_FINITE', column: 1, message: `"${name}" cannot be measured on this block.` };
}

/** What `work` gives; undefined where the outline it works on does not have what it looks for. */
function attempted<Value>(work: () => Value): Value | undefined {
  try {
    return work();
  } catch (error) {
    if (error instanceof PatternError || error instanceof GeometryError) return undefined;
    throw error;
  }
}

function notPossible({ number, operation, role }: CompiledOperation): Finding {
  const on = operation.scope === 'piece' ? ` on the ${role}` : '';
  return {
    code: 'STEP_NOT_POSSIBLE',
    level: 'stop',
    message: `Step ${number}, "${operation.name}"${on}, cannot be done on this outline.`,
    action: 'Use smaller amounts, or look at what the steps before it leave.',
    numbers: { step: number },
  };
}

function unmetNeeds({ recipe }: CompiledRecipe, block: Block, { pointer }: Wearer): Finding[] {
  return (recipe.needs?.darts ?? []).flatMap((role): Finding[] => {
    if (dartsOf(pieceOf(block, role)).length > 0) return [];
    return [
      {
        code: 'NO_DART',
        level: 'stop',
        message: `The ${role} has no dart for "${recipe.title}".`,
        action: 'Leave this alteration out, or make it before the one that takes the dart away.',
        place: { piece: role, part: 'waist' },
        pointer,
      },
    ];
  });
}

function isOpen(block: Block, role: 'front' | 'back'): boolean {
  const { edges } = pieceOf(block, role);
  return edges.some(({ curve }, i) => {
    const before = edges[(i + edges.length - 1) % edges.length].curve;
    const end = before.kind === 'line' ? before.p1 : before.p3;
    return end.x !== curve.p0.x || end.y !== curve.p0.y;
  });
}

/** Where a technician looks first. */
const CORNERS = [
  ['fork', 'fork'],
  ['centreWaist', 'centre waist'],
  ['sideWaist', 'side waist'],
  ['hemInseam', 'hem at the inseam'],
  ['hemOutseam', 'hem at the outseam'],
] as const;

/** A corner that moved by less has not moved. */
const MOVED_MM = 1e-6;

function cornersMoved(operation: string, before: Block, after: Block): Moved[] {
  return ROLES.flatMap((piece) => {
    const was = cornersOf(pieceOf(before, piece));
    const is = cornersOf(pieceOf(after, piece));
    return CORNERS.flatMap(([name, part]): Moved[] => {
      const from = was[name];
      const to = is[name];
      const byMm = distance(from, to);
      return byMm <= MOVED_MM ? [] : [{ operation, piece, part, byMm, from, to }];
    });
  });
}
