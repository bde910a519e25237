import type { Block, Finding, Moved } from '#pattern';

export type WearerMeasure =
  'heelGirthMm' | 'calfGirthMm' | 'kneeGirthMm' | 'thighGirthMm' | 'waistGirthMm' | 'hipGirthMm';

/** What an alteration must know of the wearer, in mm; a check without its measure is left out and said so. */
export interface Wearer {
  /** Girth round heel and instep, which must pass a closed hem. */
  readonly heelGirthMm?: number;
  readonly calfGirthMm?: number;
  readonly kneeGirthMm?: number;
  readonly thighGirthMm?: number;
  readonly waistGirthMm?: number;
  readonly hipGirthMm?: number;
  /** Those of the measures above that nobody took. */
  readonly estimated?: readonly WearerMeasure[];
  /** JSON pointer to the parameters in the request, e.g. `/alterations/0/with`; findings point below it. */
  readonly pointer: string;
}

export interface AlterationTolerances {
  /** Accuracy of every length that is reported. */
  readonly lengthMm: number;
}

export interface AlterationResult {
  /** The altered block, or the block as it was when the alteration was refused. */
  readonly block: Block;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
  readonly refused: boolean;
  /** How much shorter than the front the back inseam is meant to be; stretched on above the knee. */
  readonly intendedStretchMm?: number;
  /** What the whole waist seam is meant to measure; undefined when no step said so. */
  readonly intendedWaistMm?: number;
}
