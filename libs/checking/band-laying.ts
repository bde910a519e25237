import type { BandEdge, BandMark } from './band-edge.js';

/** A band laid along the waist: what of it is sewn to the waist, what lies under the closing, and where its notches stand. */
export interface LaidBand {
  readonly lengthMm: number;
  readonly underlapMm: number;
  /** `notch`: a notch says where the underlap begins. `rest`: it is what is over at one end. */
  readonly underlapBy: 'notch' | 'rest';
  readonly marks: readonly LaidMark[];
}

/** A notch of the band, and how far along it stands past what it should meet. */
export interface LaidMark {
  readonly mark: BandMark;
  /** As the band was laid. */
  readonly offMm: number;
  /** With what the band is longer or shorter than the waist spread over all of it. */
  readonly evenOffMm: number;
}

/** A notch that stands within this of a place of the waist meets it. */
export const MEETS_MM = 1;
/** A notch further from the end than this is no underlap's, and what is over further than this neither. */
const UNDERLAP_MM_MAX = 150;
/** A band that ends further before the end of the waist was laid wrongly. */
const SHORT_MM_MAX = 120;
/** A band of another size was not meant for this waist as a whole. */
const RATIOS = [0.85, 1.15] as const;
/** With more notches than a band has places to meet, those that are far off are for something else, as belt loops. */
const NOTCHES_OF_WAIST = 3;
const MEANT_MM = 30;
/** Trousers open at centre front, some at centre back, hardly one at a side: of two readings alike the usual one counts. */
const UNUSUAL_MM = [0, 2, 1, 2].map((times) => times * MEETS_MM);

/** Where the waist begins on the band, how much it is eased, and how many measures of the band that uses up. */
interface Guess {
  readonly atMm: number;
  readonly ratio: number;
  readonly free: number;
}

interface Candidate {
  readonly laid: LaidBand;
  readonly evidence: number;
  readonly explained: number;
  readonly doubtMm: number;
}

/**
 * How a band lies along the waist by its notches; undefined where it has none.
 *
 * Shape     `quarters` are front, back, back, front from one closing edge to the other. The waist may begin and end at an
 *           end of the band or at a notch near it, which then is the underlap's; between them stand three places, which
 *           notches meet or miss. The reading that most notches and ends agree on counts: a band of which one end was cut
 *           off is still read by its other end, one of which a notch was moved by the others, one that is eased evenly by
 *           the share of each. Notches decide; the length decides only between readings that they leave alike.
 * Edges     with no notch that meets anything, one near an end is taken for the underlap's. Notches that no place of the
 *           waist is left for are passed over. `isRing`: without underlap, all of the band is sewn to the waist.
 */
export function layBand(
  edges: readonly BandEdge[],
  quarters: readonly number[],
  isRing: boolean,
): LaidBand | undefined {
  const candidates = edges
    .filter(({ marks }) => marks.length > 0)
    .flatMap((edge) => [0, 1, 2, 3].flatMap((turn) => candidatesOf(edge, quarters, turn, isRing)));
  return candidates.length === 0 ? undefined : candidates.reduce((best, each) => better(best, each)).laid;
}

function better(best: Candidate, each: Candidate): Candidate {
  const by = each.evidence - best.evidence || each.explained - best.explained || best.doubtMm - each.doubtMm;
  return by > 0 ? each : best;
}

interface Span {
  readonly edge: BandEdge;
  readonly fromMm: number;
  readonly toMm: number;
  /** How many of its ends are notches. */
  readonly notched: number;
  readonly inner: readonly BandMark[];
}

function candidatesOf(
  edge: BandEdge,
  quarters: readonly number[],
  turn: number,
  isRing: boolean,
): Candidate[] {
  const placesMm = [0, 1, 2, 3, 4].map((count) =>
    quarters.slice(0, count).reduce((sum, _, i) => sum + quarters[(i + turn) % 4], 0),
  );
  return spansOf(edge, placesMm[4] / 2).flatMap((span) =>
    guessesOf(span, placesMm).flatMap((guess) => candidateOf(span, placesMm, guess, turn, isRing) ?? []),
  );
}

function spansOf(edge: BandEdge, leastMm: number): Span[] {
  const { lengthMm, marks } = edge;
  const starts = [undefined, ...marks.filter(({ mm }) => mm <= UNDERLAP_MM_MAX)];
  const ends = [undefined, ...marks.filter(({ mm }) => lengthMm - mm <= UNDERLAP_MM_MAX)];
  return starts.flatMap((start) =>
    ends.flatMap((end): Span[] => {
      const [fromMm, toMm] = [start?.mm ?? 0, end?.mm ?? lengthMm];
      if (toMm - fromMm < leastMm) return [];
      const notched = (start === undefined ? 0 : 1) + (end === undefined ? 0 : 1);
      return [{ edge, fromMm, toMm, notched, inner: marks.filter(({ mm }) => mm > fromMm && mm < toMm) }];
    }),
  );
}

function guessesOf({ fromMm, toMm, inner }: Span, placesMm: readonly number[]): Guess[] {
  const girthMm = placesMm[4];
  const eased = inner.flatMap(({ mm }) =>
    placesMm.slice(1, 4).flatMap((placeMm): Guess[] => {
      const [byStart, byEnd] = [(mm - fromMm) / placeMm, (toMm - mm) / (girthMm - placeMm)];
      return [
        { atMm: mm - placeMm, ratio: 1, free: 1 },
        { atMm: fromMm, ratio: byStart, free: 2 },
        { atMm: toMm - byEnd * girthMm, ratio: byEnd, free: 2 },
      ];
    }),
  );
  return [
    { atMm: fromMm, ratio: 1, free: 1 },
    { atMm: toMm - girthMm, ratio: 1, free: 1 },
    { atMm: fromMm, ratio: (toMm - fromMm) / girthMm, free: 2 },
    ...eased.filter(({ ratio }) => ratio > RATIOS[0] && ratio < RATIOS[1]),
  ];
}

function candidateOf(
  span: Span,
  placesMm: readonly number[],
  { atMm, ratio, free }: Guess,
  turn: number,
  isRing: boolean,
): Candidate | undefined {
  const { edge, fromMm, toMm, notched, inner } = span;
  const girthMm = placesMm[4];
  const overs = [atMm - fromMm, toMm - atMm - ratio * girthMm];
  if (overs.some((mm) => mm > UNDERLAP_MM_MAX || mm < -SHORT_MM_MAX)) return undefined;
  const wantedMm = placesMm.slice(1, 4).map((mm) => atMm + ratio * mm);
  const met = wantedMm.filter((mm) => inner.some((mark) => Math.abs(mark.mm - mm) <= MEETS_MM)).length;
  // A single notch says nothing of where the trouser opens: that is at the centre then.
  if (met < 2 && turn !== 0) return undefined;
  const endsMet = overs.filter((mm) => Math.abs(mm) <= MEETS_MM).length;
  // Ease that only the notch it was read from shows is none.
  if (free > 1 && met + endsMet <= free) return undefined;
  const overMm = Math.max(...overs);
  // A notch says where the underlap begins; without one the end that is over is it, and both are if nothing says which.
  const restMm = notched > 0 || isRing || met === 0 || overMm <= MEETS_MM ? 0 : overMm;
  const lengthMm = toMm - fromMm - restMm;
  const startMm = fromMm + (restMm > 0 && overs[0] === overMm ? restMm : 0);
  return {
    laid: {
      lengthMm,
      underlapMm: fromMm + edge.lengthMm - toMm + restMm,
      underlapBy: notched > 0 ? 'notch' : 'rest',
      marks: laidMarks(inner, wantedMm, (place) => startMm + (lengthMm / girthMm) * placesMm[place + 1]),
    },
    evidence: met === 0 ? 0 : met + endsMet - free,
    explained: met + notched,
    doubtMm: Math.abs(lengthMm - girthMm) + UNUSUAL_MM[turn],
  };
}

/** Each place of the waist with the notch that is meant for it: those that meet theirs first, of the rest the nearest. */
function laidMarks(
  inner: readonly BandMark[],
  wantedMm: readonly number[],
  evenMm: (place: number) => number,
): LaidMark[] {
  const farthestMm = inner.length <= NOTCHES_OF_WAIST ? Infinity : MEANT_MM;
  const pairs = wantedMm
    .flatMap((mm, place) => inner.map((mark) => ({ place, mark, apartMm: Math.abs(mark.mm - mm) })))
    .filter(({ apartMm }) => apartMm <= farthestMm)
    .sort((a, b) => a.apartMm - b.apartMm);
  const taken: { readonly place: number; readonly mark: BandMark }[] = [];
  for (const { place, mark } of pairs)
    if (!taken.some((each) => each.place === place || each.mark === mark)) taken.push({ place, mark });
  return taken.map(({ place, mark }) => ({
    mark,
    offMm: mark.mm - wantedMm[place],
    evenOffMm: mark.mm - evenMm(place),
  }));
}
