import type { Block, Finding, Moved } from '#pattern';

/** How far the fork goes down: a share of the way from crotch line to knee line, or a length. */
export type Drop = { readonly fraction: number } | { readonly lengthMm: number };

/**
 * The parameters of the drop-crotch alteration, all of them.
 *
 * `cropMm` is negative for a longer leg. `waist` says whether the waist seam is brought back to the block's length.
 * `inseamTruing` says whose shape the back inseam has. `hemOpening` is open where a vent, a zip or a rib lets the
 * foot through: the hem then may be narrower than the foot.
 */
export interface DropCrotchParameters {
  readonly drop: Drop;
  readonly frontRiseExtensionMm: number;
  readonly backRiseExtensionMm: number;
  readonly hemInMm: number;
  readonly cropMm: number;
  readonly waist: 'restore' | 'leave';
  readonly inseamTruing: 'copy-front' | 'keep-back';
  readonly hemOpening: 'closed' | 'open';
}

/** The default amounts: common practice, no source. Whether the waist is restored depends on who made the block. */
export const DROP_CROTCH_DEFAULTS = {
  drop: { fraction: 0.5 },
  frontRiseExtensionMm: 15,
  backRiseExtensionMm: 10,
  hemInMm: 19,
  cropMm: 0,
  inseamTruing: 'copy-front',
  hemOpening: 'closed',
} as const satisfies Omit<DropCrotchParameters, 'waist'>;

/** What the alteration must know of the wearer, in mm; a check without its measure is left out and said so. */
export interface Wearer {
  /** Girth round heel and instep, which must pass a closed hem. */
  readonly heelGirthMm?: number;
  readonly calfGirthMm?: number;
  readonly waistGirthMm?: number;
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
  /** Height of the level below which the inseam is straight; undefined when refused. */
  readonly taperLevelMm?: number;
  /** How much shorter than the front the back inseam is meant to be; stretched on above the knee. */
  readonly intendedStretchMm?: number;
}
