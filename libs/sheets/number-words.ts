/** Millimetres as a cutter reads them: one decimal, a true minus sign, never minus zero. */
export function mmText(valueMm: number): string {
  return decimalText(valueMm, 1);
}

/** The same with its sign, for differences: "+1.2", "−5.2", "0.0". */
export function signedMmText(valueMm: number): string {
  const text = decimalText(valueMm, 1);
  return Number(valueMm.toFixed(1)) > 0 ? `+${text}` : text;
}

export function degText(valueDeg: number): string {
  return `${decimalText(valueDeg, 1)}°`;
}

export function signedDegText(valueDeg: number): string {
  return Number(valueDeg.toFixed(1)) > 0 ? `+${degText(valueDeg)}` : degText(valueDeg);
}

function decimalText(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return Number(text) < 0 ? `−${text.slice(1)}` : text.replace(/^-/, '');
}
