/** A length as it is said in a finding: "12.3 mm". Never "-0.0 mm". */
export function inMm(valueMm: number): string {
  return `${plain(valueMm, 1)} mm`;
}

/** An angle as it is said in a finding: "91.4 degrees". */
export function inDegrees(valueDeg: number): string {
  return `${plain(valueDeg, 1)} degrees`;
}

/** A signed difference in trade words: "4.2 mm longer", "0.8 mm shorter". */
export function longerBy(differenceMm: number): string {
  return `${inMm(Math.abs(differenceMm))} ${differenceMm < 0 ? 'shorter' : 'longer'}`;
}

function plain(value: number, digits: number): string {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace('-', '') : text;
}
