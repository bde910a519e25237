/** Length of a walking step against stature; from memory of the walking literature, which gives .40 to .45. */
export const STEP_SHARE_OF_STATURE = 0.43;

/** What a tube round both legs is asked to allow. All lengths in mm. */
export interface StepRoomQuestion {
  /** Girth of both tubes together at the level: twice front and back width. */
  readonly garmentGirthMm: number;
  /** Girth of one leg at that level. */
  readonly legGirthMm: number;
  /** From the hip joint down to the level. */
  readonly belowHipJointMm: number;
  /** Height of the hip joint above the floor. */
  readonly legLengthMm: number;
}

/**
 * The longest step that cloth of a given girth round both legs allows, in mm on the floor.
 *
 * The shortest tape round two equal discs whose centres are s apart is one girth and twice s; a leg turning about
 * the hip joint moves s = step r / L apart at depth r.
 *
 * Accuracy  legs as round rods, cloth that does not slide, walking on the flat only; stairs need far more.
 * Source    derived. Common practice agrees that a skirt of 950 mm at the knee needs a vent.
 */
export function stepLengthMm(question: StepRoomQuestion): number {
  const apartMm = (question.garmentGirthMm - question.legGirthMm) / 2;
  return Math.max(0, (question.legLengthMm / question.belowHipJointMm) * apartMm);
}

/** The girth round both legs at a level that a step of `stepMm` needs. */
export function girthForStepMm(question: Omit<StepRoomQuestion, 'garmentGirthMm'>, stepMm: number): number {
  return question.legGirthMm + (2 * stepMm * question.belowHipJointMm) / question.legLengthMm;
}
