import { inMm, type Finding } from '#pattern';
import type { Point } from '#geometry';
import type { CompiledFormula, CompiledGuard, CompiledText } from './compile-recipe.js';
import type { WorkedOut } from './formula/work-out.js';
import type { FormulaFault, FormulaValue, Quantity } from './formula/formula.js';
import type { ParameterValues } from './run-recipe.js';

/** What a finding is filled in from. */
interface Filling {
  readonly value: (formula: CompiledFormula) => WorkedOut;
  readonly point: (reference: { readonly name: string; readonly standing: boolean }) => Point;
  readonly sent: ParameterValues;
  /** What a parameter is a share of. */
  readonly share: (parameter: string) => CompiledFormula | undefined;
  readonly pointer: string;
}

type Faulty = { readonly fault: FormulaFault };

/** The finding of a guard that does not hold, its sentences filled in; or the formula that has no value here. */
export function guardFinding(guard: CompiledGuard, filling: Filling): Finding | Faulty {
  const { code, level, place, of } = guard.step;
  const range = allowedRange(guard, filling);
  if (range !== undefined && 'fault' in range) return range;
  const fits = range === undefined || isOpenRange(range);
  const action = !fits && guard.otherwise !== undefined ? guard.otherwise : guard.action;
  const words = filled(guard.message, filling, range?.words ?? '');
  const whatToDo = filled(action, filling, range?.words ?? '');
  if (typeof words === 'object') return words;
  if (typeof whatToDo === 'object') return whatToDo;
  const numbers: Record<string, number> = {};
  // By name: a recipe that was stored and read again may have them in another order, and is to give the same bytes.
  for (const [name, formula] of [...guard.numbers].sort(([a], [b]) => (a < b ? -1 : 1))) {
    const worked = filling.value(formula);
    if ('fault' in worked) return worked;
    numbers[name] = inUnit(worked.value as number, formula.quantity);
  }
  const { piece, part } = place ?? {};
  const at = guard.at === undefined ? {} : { at: filling.point(guard.at) };
  return {
    code,
    level: level === 'refuse' ? 'stop' : level,
    message: words,
    action: whatToDo,
    ...(place === undefined
      ? {}
      : {
          place: {
            ...(piece === undefined ? {} : { piece }),
            ...(part === undefined ? {} : { part }),
            ...at,
          },
        }),
    ...(of === undefined ? {} : { pointer: `${filling.pointer}/${of}` }),
    ...(Object.keys(numbers).length === 0 ? {} : { numbers }),
    ...(range === undefined || !fits ? {} : { allowed: range.allowed }),
  };
}

interface Range {
  readonly allowed: { readonly min?: number; readonly max?: number; readonly unit: string };
  readonly words: string;
}

function isOpenRange({ allowed: { min, max } }: Range): boolean {
  return min === undefined || max === undefined || min <= max;
}

function allowedRange(guard: CompiledGuard, filling: Filling): Range | Faulty | undefined {
  const { parameter, min, max } = guard;
  if (parameter === undefined || (min === undefined && max === undefined)) return undefined;
  const low = min === undefined ? undefined : filling.value(min);
  const high = max === undefined ? undefined : filling.value(max);
  if (low !== undefined && 'fault' in low) return low;
  if (high !== undefined && 'fault' in high) return high;
  const quantity = min?.quantity ?? max?.quantity ?? 'length';
  const lowest = low === undefined ? undefined : inwards(low.value as number, quantity, 'up');
  const highest = high === undefined ? undefined : inwards(high.value as number, quantity, 'down');
  const own = rangeOf(lowest, highest, UNITS[quantity] ?? '');
  const whole = filling.share(parameter.name);
  const sent = filling.sent[parameter.name];
  if (whole === undefined || typeof sent === 'number') return own;
  const worked = filling.value(whole);
  if ('fault' in worked) return worked;
  const wayMm = worked.value as number;
  const words = 'shareWords' in parameter ? (parameter.shareWords ?? '') : '';
  const share = rangeOf(
    lowest === undefined ? undefined : Math.ceil((lowest / wayMm) * SHARE_STEPS) / SHARE_STEPS,
    highest === undefined ? undefined : Math.floor((highest / wayMm) * SHARE_STEPS) / SHARE_STEPS,
    words,
  );
  return { allowed: share.allowed, words: `${share.words} (${own.words})` };
}

/** A share is told to the thousandth, a length to the tenth of a millimetre; never past what fits. */
const SHARE_STEPS = 1000;
const TENTHS = 10;
const ROUNDING = 1e-9;
const UNITS: Partial<Record<Quantity, string>> = { length: 'mm', angle: 'degrees' };

function inwards(value: number, quantity: Quantity, way: 'up' | 'down'): number {
  const shown = inUnit(value, quantity);
  const steps = quantity === 'ratio' ? SHARE_STEPS : TENTHS;
  return way === 'up'
    ? Math.ceil(shown * steps - ROUNDING) / steps
    : Math.floor(shown * steps + ROUNDING) / steps;
}

function rangeOf(min: number | undefined, max: number | undefined, unit: string): Range {
  const of = unit === '' ? '' : ` ${unit}`;
  const words =
    min === undefined
      ? `at most ${max ?? ''}${of}`
      : max === undefined
        ? `at least ${min}${of}`
        : `between ${min} and ${max}${of}`;
  return {
    allowed: { ...(min === undefined ? {} : { min }), ...(max === undefined ? {} : { max }), unit },
    words,
  };
}

function filled(text: CompiledText, filling: Filling, range: string): string | Faulty {
  let words = '';
  for (const part of text) {
    if (typeof part === 'string') words += part;
    else if ('kind' in part) words += range;
    else {
      const worked = filling.value(part);
      if ('fault' in worked) return worked;
      words += inWords(worked.value, part.quantity);
    }
  }
  return words;
}

/** A value as a cutter reads it. */
export function inWords(value: FormulaValue, quantity: Quantity): string {
  if (typeof value === 'string') return value;
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (quantity === 'length') return inMm(value).replace('.0 mm', ' mm');
  if (quantity === 'angle') return angleInWords(inUnit(value, quantity));
  if (quantity === 'area') return `${(value / 100).toFixed(1)} cm2`;
  return String(Number(value.toFixed(3)));
}

// A lean is told in whole degrees; what is off square, in tenths.
function angleInWords(degrees: number): string {
  return `${degrees.toFixed(Math.abs(degrees) < 10 ? 1 : 0)} degrees`;
}

const DEGREES = 180 / Math.PI;

function inUnit(value: number, quantity: Quantity): number {
  return quantity === 'angle' ? value * DEGREES : value;
}
