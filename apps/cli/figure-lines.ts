/** What the demo reads of draft.json: each seam and girth of the pattern in mm. */
interface DraftFigures {
  readonly measures?: Readonly<Record<string, { readonly drafted: number }>>;
  readonly moved?: readonly unknown[];
}

/** What it reads of truing.json. */
interface TruingFigures {
  readonly seams?: readonly { readonly seam: string; readonly difference: number; readonly state: string }[];
  readonly corners?: readonly { readonly state: string }[];
  readonly sewable?: boolean;
}

/** Garment measures worth saying aloud, by their name in draft.json. Never the body's. */
const WORTH_SAYING: Readonly<Record<string, string>> = {
  waist: 'waist',
  // Not the hip girth: an altered pattern is as wide there as its style wants it.
  hip: 'at hip level',
  hem: 'hem',
  inseamFront: 'inseam',
  outseamFront: 'outseam',
};

/** The main figures of a draft in plain sentences; what a file does not say is left out. */
export function figureLines(draftText: string | undefined, truingText: string | undefined): string[] {
  const draft = JSON.parse(draftText ?? '{}') as DraftFigures;
  const truing = JSON.parse(truingText ?? '{}') as TruingFigures;
  return [...garmentLines(draft), ...truingLines(truing)];
}

function garmentLines({ measures = {}, moved = [] }: DraftFigures): string[] {
  const figures = Object.entries(WORTH_SAYING).flatMap(([name, word]) =>
    Object.hasOwn(measures, name) ? [`${word} ${measures[name].drafted.toFixed(1)} mm`] : [],
  );
  const garment = figures.length === 0 ? [] : [`The pattern measures: ${figures.join(', ')}.`];
  return moved.length === 0
    ? garment
    : [...garment, `${moved.length} steps moved something, each listed with its amount.`];
}

function truingLines({ seams = [], corners = [], sewable }: TruingFigures): string[] {
  const worst = Math.max(0, ...seams.map(({ difference }) => Math.abs(difference)));
  const count = `${seams.length} seams and ${corners.length} corners were checked`;
  const verdict = sewable === true ? 'it sews together' : 'it does not sew together yet';
  return sewable === undefined
    ? []
    : [`${count}: ${verdict}; the largest seam difference is ${worst.toFixed(2)} mm.`];
}
