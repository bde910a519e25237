/** A stroke of a plot, in plotter units. */
export interface PlottedStroke {
  readonly points: readonly (readonly [x: number, y: number])[];
}

export interface ReadPlot {
  readonly strokes: readonly PlottedStroke[];
  readonly texts: readonly { readonly text: string; readonly at: readonly [number, number] }[];
  readonly instructions: readonly string[];
}

/** A reader of plots that knows pen up, pen down, absolute and labels: enough to draw them again. */
export function readPlot(text: string): ReadPlot {
  const instructions = text.replaceAll('\n', '').match(/LB[^\u0003]*\u0003;?|[A-Z]{2}[^A-Z;]*;/g) ?? [];
  const strokes: PlottedStroke[] = [];
  const texts: { text: string; at: [number, number] }[] = [];
  let at: [number, number] = [0, 0];
  for (const instruction of instructions) {
    const name = instruction.slice(0, 2);
    if (name === 'LB') {
      texts.push({ text: instruction.slice(2).split('\u0003')[0], at });
      continue;
    }
    const numbers = instruction
      .slice(2, -1)
      .split(',')
      .filter((part) => part !== '')
      .map(Number);
    const points = Array.from({ length: Math.floor(numbers.length / 2) }, (_, i): [number, number] => [
      numbers[2 * i],
      numbers[2 * i + 1],
    ]);
    if (name === 'PD' && points.length > 0) strokes.push({ points: [at, ...points] });
    if ((name === 'PD' || name === 'PU') && points.length > 0) at = points[points.length - 1];
  }
  return { strokes, texts, instructions };
}
