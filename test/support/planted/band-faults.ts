import { add, mapCurve, type Point, startOf } from '#geometry';
import { seamLengthMm, type Piece } from '#pattern';
import { bandMm, endMoved, notchesOf } from '../band-variants.js';
import { dxfOf } from '../dxf-of.js';
import {
  between,
  changed,
  type FaultKind,
  pick,
  pieceFault,
  pieceOf,
  type Planted,
  signed,
  type Sound,
} from './fault.js';
import { moved } from './edge-places.js';

function bandStretched({ pattern: { pieces } }: Sound, factor: number): Planted | undefined {
  if (pieceOf(pieces, 'waistband') === undefined) return undefined;
  const stretch = (p: Point): Point => ({ x: p.x, y: p.y * factor });
  const text = dxfOf(
    changed(pieces, 'waistband', (piece) => ({
      ...piece,
      cut: piece.cut.map((point) => ({ ...point, at: stretch(point.at) })),
      runs: piece.runs.map((run) => ({
        ...run,
        curves: run.curves.map((curve) => mapCurve(curve, stretch)),
      })),
      notches: piece.notches.map((notch) => ({ ...notch, at: stretch(notch.at), foot: stretch(notch.foot) })),
      lines: piece.lines.map((each) => ({
        ...each,
        curves: each.curves.map((curve) => mapCurve(curve, stretch)),
      })),
      grain: [stretch(piece.grain[0]), stretch(piece.grain[1])],
    })),
  );
  return { text };
}

export const BAND_FAULTS: readonly FaultKind[] = [
  {
    name: 'band longer than the waist',
    codes: ['WAISTBAND_SHORTER'],
    plant: (sound, next) => bandStretched(sound, 1 + between(next, 0.004, 0.02)),
  },
  {
    name: 'band too short to ease in',
    codes: ['WAIST_SEAM_LONGER'],
    plant: (sound, next) => bandStretched(sound, 1 - between(next, 0.035, 0.06)),
  },
  pieceFault('band notch off', ['BAND_NOTCH_OFF'], ['waistband'], (piece, next) => {
    const inner = piece.notches.filter(({ name }) => name === 'side' || name === 'centre back');
    if (inner.length === 0) return undefined;
    const notch = pick(next, inner);
    // Up to 3 % of a quarter may be ease that is spread unevenly.
    const allowedMm = 1 + (0.03 * Math.max(...piece.cut.map(({ at }) => at.y))) / 4;
    const by = { x: 0, y: signed(next, allowedMm + 0.5, 24) };
    return {
      piece: { ...piece, notches: piece.notches.map((each) => (each === notch ? moved(each, by) : each)) },
      at: add(notch.at, by),
      withinMm: 15,
    };
  }),
];

type CutPieces = Sound['pattern']['pieces'];

/** The band made another, where the pattern has one in one strip. */
function withBand(
  { pattern: { pieces } }: Sound,
  change: (band: CutPieces[number]) => CutPieces[number],
): CutPieces | undefined {
  if (!pieces.some(({ id }) => id === 'waistband')) return undefined;
  return pieces.map((piece) => (piece.id === 'waistband' ? change(piece) : piece));
}

export function planted(
  pieces: CutPieces | undefined,
  rest: Omit<Planted, 'text'> = {},
): Planted | undefined {
  return pieces === undefined ? undefined : { text: dxfOf(pieces), ...rest };
}

/** The draft's own waist, whole. */
function waistMm({ pattern: { block } }: Sound): number {
  return 2 * (seamLengthMm(block.front, 'waist', 0.001) + seamLengthMm(block.back, 'waist', 0.001));
}

/**
 * Legs are told apart by more than the most even of sound trousers are the other way round: of a pair whose forks are less
 * apart than that nobody can say that it is exchanged.
 */
const RISE_MM = 30;
const FORK_MM = 21;

function forkWidthMm({ edges }: Piece): number {
  const [inseam, rise] = (['inseam', 'rise'] as const).map((role) =>
    edges.find((edge) => edge.role === role),
  );
  return inseam === undefined || rise === undefined
    ? 0
    : Math.abs(startOf(inseam.curve).x - startOf(rise.curve).x);
}

/** What a band, or a name, may have wrong of the waist. */
export const BAND_READING_FAULTS: readonly FaultKind[] = [
  {
    name: 'band cut off at its end',
    codes: ['WAIST_SEAM_LONGER'],
    // More than the 3 % that can be eased in.
    plant: (sound, next) =>
      planted(withBand(sound, (band) => endMoved(band, 'high', -between(next, 0.033 * waistMm(sound), 80)))),
  },
  {
    name: 'band longer at its end',
    codes: ['WAISTBAND_SHORTER'],
    plant: (sound, next) =>
      planted(withBand(sound, (band) => endMoved(band, 'high', between(next, 1.3, 80)))),
  },
  {
    name: 'underlap too short or too long',
    codes: ['BAND_UNDERLAP_UNUSUAL'],
    plant: (sound, next) =>
      planted(
        withBand(sound, (band) =>
          endMoved(band, 'low', next() < 0.5 ? -between(next, 21, 38) : between(next, 21, 80)),
        ),
        { piece: 'WAISTBAND' },
      ),
  },
  {
    name: 'band without notches shorter than the waist',
    codes: ['WAIST_SEAM_LONGER'],
    // It has no underlap then either.
    follows: ['BAND_UNDERLAP_UNUSUAL'],
    plant: (sound, next) =>
      planted(
        withBand(sound, (band) =>
          endMoved(
            notchesOf(band, []),
            'high',
            waistMm(sound) * (1 - between(next, 0.033, 0.09)) - bandMm(band),
          ),
        ),
      ),
  },
  {
    name: 'no band named',
    codes: ['NO_WAISTBAND'],
    plant: (sound) => planted(withBand(sound, (band) => ({ ...band, id: 'pc3', name: 'PC3' }))),
  },
  {
    name: 'front and back named the other way round',
    codes: ['ROLE_DOUBTED'],
    plant: (sound) => {
      const { front, back } = sound.pattern.block;
      if (seamLengthMm(back, 'rise', 0.01) - seamLengthMm(front, 'rise', 0.01) < RISE_MM) return undefined;
      if (forkWidthMm(back) - forkWidthMm(front) < FORK_MM) return undefined;
      const other: Readonly<Record<string, string>> = { front: 'Back', back: 'Front' };
      const pieces = sound.pattern.pieces.map((piece) => ({ ...piece, name: other[piece.id] ?? piece.name }));
      // By their names the back's block is the front.
      return planted(pieces, { piece: 'BACK' });
    },
  },
];
