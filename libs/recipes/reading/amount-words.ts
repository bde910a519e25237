import type { FormulaValue, Quantity } from '../formula/formula.js';

/** The unit a shop thinks in. */
export type ShopUnit = 'mm' | 'cm' | 'in';

const MM_PER_INCH = 25.4;

/** Shops read inches on a ruler cut in sixteenths. */
const INCH_PARTS = 16;

/** Closer than any shears: an amount so near to a sixteenth was meant as one. */
const SAME_MM = 0.01;

/** An amount as the shop says it: mm, radians, square mm in; "19 mm", "3/4 in", "30 degrees" out. */
export function amountInWords(value: FormulaValue, quantity: Quantity, unit: ShopUnit): string {
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (typeof value === 'string') return value;
  if (quantity === 'length') return lengthInWords(value, unit);
  if (quantity === 'angle') return `${plain((value * 180) / Math.PI, 1)} degrees`;
  if (quantity === 'area') return `${plain(value / 100, 1)} cm2`;
  return plain(value, 3);
}

function lengthInWords(mm: number, unit: ShopUnit): string {
  if (unit === 'mm') return `${plain(mm, 2)} mm`;
  if (unit === 'cm') return `${plain(mm / 10, 3)} cm`;
  return `${inches(mm)} in`;
}

function inches(mm: number): string {
  const parts = Math.round((mm / MM_PER_INCH) * INCH_PARTS);
  if (Math.abs((parts * MM_PER_INCH) / INCH_PARTS - mm) > SAME_MM) return plain(mm / MM_PER_INCH, 3);
  const sign = parts < 0 ? '-' : '';
  const whole = Math.floor(Math.abs(parts) / INCH_PARTS);
  let top = Math.abs(parts) % INCH_PARTS;
  let bottom = INCH_PARTS;
  while (top > 0 && top % 2 === 0) {
    top /= 2;
    bottom /= 2;
  }
  if (top === 0) return `${sign}${whole}`;
  return `${sign}${whole === 0 ? '' : `${whole} `}${top}/${bottom}`;
}

function plain(value: number, digits: number): string {
  // Adding zero makes a minus zero plain.
  return String(Number(value.toFixed(digits)) + 0);
}
