/** What a lowered fork asks of the inseam when a leg moves. All lengths in mm. */
export interface LegLiftQuestion {
  /** From the body's crotch down to the ankle, or to the floor. */
  readonly legLengthMm: number;
  /** How far the fork hangs below the body's crotch. */
  readonly belowCrotchMm: number;
  /** How far the leg turns about the crotch, from straight down. */
  readonly turnRad: number;
}

/**
 * How much longer the way from fork to ankle becomes when one leg turns out of the vertical, in mm.
 *
 * A fork that hangs below the crotch stays in the middle while the leg swings, so the inseam has to be longer than
 * the straight way it covers; a curved one is, a straight one pulls the hem up by what is missing.
 *
 * Accuracy  the leg as a rod turning about the crotch, the fork hanging straight down.
 * Source    derived: the law of cosines.
 */
export function legLiftMm({ legLengthMm, belowCrotchMm, turnRad }: LegLiftQuestion): number {
  const straightMm = legLengthMm - belowCrotchMm;
  const turnedMm = Math.sqrt(
    legLengthMm ** 2 + belowCrotchMm ** 2 - 2 * legLengthMm * belowCrotchMm * Math.cos(turnRad),
  );
  return turnedMm - straightMm;
}

/** How far each leg turns in a step of a given length: half of it lies before, half behind. */
export function halfStepRad(stepMm: number, legLengthMm: number): number {
  return Math.asin(Math.min(1, stepMm / (2 * legLengthMm)));
}
