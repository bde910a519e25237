import { wrapText, type TextStyle, type TextWidths } from './text-widths.js';

/**
 * Facts set under each other in at most `linesMax` lines: whole facts in their order, and then how many more there
 * are. A fact is never shown in part.
 */
export function factLines(
  facts: readonly string[],
  linesMax: number,
  widthMm: number,
  style: TextStyle,
  widths: TextWidths,
): string[] {
  const wrapped = facts.map((fact) => wrapText(fact, widthMm, style, widths));
  const ends = wrapped.map((_, i) => wrapped.slice(0, i + 1).flat().length);
  if (ends[ends.length - 1] <= linesMax) return wrapped.flat();
  const count = ends.filter((end) => end < linesMax).length;
  return [...wrapped.slice(0, count).flat(), `${facts.length - count} more in request.json`];
}
