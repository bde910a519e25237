import { type CutPiece, FINISH_DEFAULTS, type FinishedPattern, type FinishRules } from '#finishing';
import { distance, type Point } from '#geometry';
import { TRADE_RULES } from '#truing';
import { dxfOf } from '../dxf-of.js';

/** A sound pattern, and how it was finished. */
export interface Sound {
  readonly pattern: FinishedPattern;
  readonly rules: FinishRules;
}

/** A pattern with one fault in it. */
export interface Planted {
  readonly text: string;
  /** The block it was planted in. */
  readonly piece?: string;
  readonly at?: Point;
  /** How near the finding has to be; 40 mm when left out. */
  readonly withinMm?: number;
}

export interface FaultKind {
  readonly name: string;
  /** Any of these is the right name for it. */
  readonly codes: readonly string[];
  /** What it may make true of the pattern besides. */
  readonly follows?: readonly string[];
  /** Undefined where this pattern has nothing to plant it in. */
  plant(sound: Sound, next: () => number): Planted | undefined;
}

export const TRUING = { ...TRADE_RULES, lengthToleranceMm: 0.004 };

export function between(next: () => number, low: number, high: number): number {
  return low + (high - low) * next();
}

export function signed(next: () => number, low: number, high: number): number {
  return (next() < 0.5 ? -1 : 1) * between(next, low, high);
}

export function pick<T>(next: () => number, all: readonly T[]): T {
  return all[Math.min(all.length - 1, Math.floor(next() * all.length))];
}

export const pieceOf = (pieces: readonly CutPiece[], id: string): CutPiece | undefined =>
  pieces.find((piece) => piece.id === id);

export function changed(
  pieces: readonly CutPiece[],
  id: string,
  change: (piece: CutPiece) => CutPiece,
): CutPiece[] {
  return pieces.map((piece) => (piece.id === id ? change(piece) : piece));
}

export function pieceFault(
  name: string,
  codes: readonly string[],
  ids: readonly string[],
  change: (
    piece: CutPiece,
    next: () => number,
    sound: Sound,
  ) => { readonly piece: CutPiece; readonly at?: Point; readonly withinMm?: number } | undefined,
): FaultKind {
  return {
    name,
    codes,
    plant(sound, next) {
      const { pieces } = sound.pattern;
      const id = pick(next, ids);
      const piece = pieceOf(pieces, id);
      const done = piece === undefined ? undefined : change(piece, next, sound);
      if (done === undefined) return undefined;
      const { at, withinMm } = done;
      const text = dxfOf(changed(pieces, id, () => done.piece));
      return {
        text,
        piece: id.toUpperCase(),
        ...(at === undefined ? {} : { at }),
        ...(withinMm === undefined ? {} : { withinMm }),
      };
    },
  };
}

export const LEGS = ['front', 'back'];

export function longestSide({ cut }: CutPiece): number {
  return cut.reduce(
    (best, { at }, i) =>
      distance(at, cut[(i + 1) % cut.length].at) > distance(cut[best].at, cut[(best + 1) % cut.length].at)
        ? i
        : best,
    0,
  );
}

export const SOUND_RULES: FinishRules = { ...FINISH_DEFAULTS, pockets: 'side-seam' };
