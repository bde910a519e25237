import { seamLengthMm } from '#pattern';
import { bandMm, endMoved, notchesOf } from './band-variants.js';
import { dxfOf } from './dxf-of.js';
import type { FaultKind, Planted, Sound } from './planted-faults.js';

type CutPieces = Sound['pattern']['pieces'];

function between(next: () => number, low: number, high: number): number {
  return low + (high - low) * next();
}

/** The band made another, where the pattern has one in one strip. */
function withBand(
  { pattern: { pieces } }: Sound,
  change: (band: CutPieces[number]) => CutPieces[number],
): CutPieces | undefined {
  if (!pieces.some(({ id }) => id === 'waistband')) return undefined;
  return pieces.map((piece) => (piece.id === 'waistband' ? change(piece) : piece));
}

function planted(pieces: CutPieces | undefined, rest: Omit<Planted, 'text'> = {}): Planted | undefined {
  return pieces === undefined ? undefined : { text: dxfOf(pieces), ...rest };
}

/** The draft's own waist, whole. */
function waistMm({ pattern: { block } }: Sound): number {
  return 2 * (seamLengthMm(block.front, 'waist', 0.001) + seamLengthMm(block.back, 'waist', 0.001));
}

/** Backs of which the rise is less than this longer than the front's are hardly to be told from it. */
const RISE_MM = 30;

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
      const other: Readonly<Record<string, string>> = { front: 'Back', back: 'Front' };
      const pieces = sound.pattern.pieces.map((piece) => ({ ...piece, name: other[piece.id] ?? piece.name }));
      // By their names the back's block is the front.
      return planted(pieces, { piece: 'BACK' });
    },
  },
];
