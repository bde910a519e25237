/** The longest table: four decimals, which is a tenth of a micron. */
const DECIMALS = 4;
const FACTOR = 10 ** DECIMALS;

/** What stands behind the whole number, by ten thousandths; written when first asked for. */
const FRACTIONS = new Array<string>(FACTOR).fill('');

/**
 * A number with at most four decimals, no trailing zeros, no exponent, no minus zero.
 *
 * Accuracy  to the nearest ten thousandth; halves go away from zero.
 * Cost      a quarter of `toFixed`; the drawings of a draft are a hundred thousand numbers.
 */
export function decimalText(value: number): string {
  const scaled = Math.round(Math.abs(value) * FACTOR);
  const whole = Math.floor(scaled / FACTOR);
  const rest = scaled - whole * FACTOR;
  if (rest > 0 && FRACTIONS[rest] === '')
    FRACTIONS[rest] = `.${String(rest).padStart(DECIMALS, '0').replace(/0+$/, '')}`;
  return signed(`${whole}${FRACTIONS[rest]}`, value < 0 && scaled > 0);
}

/** A number with so many decimals, 1 to 4, zeros and all; rounded as above, no minus zero. */
export function fixedText(value: number, decimals: number): string {
  const factor = 10 ** decimals;
  const scaled = Math.round(Math.abs(value) * factor);
  const whole = Math.floor(scaled / factor);
  // The one before the decimals keeps their leading zeros.
  const rest = String(factor + scaled - whole * factor).slice(1);
  return signed(`${whole}.${rest}`, value < 0 && scaled > 0);
}

function signed(text: string, isNegative: boolean): string {
  return isNegative ? `-${text}` : text;
}
