/**
 * An alteration as data: what a technician writes down, a shop stores, and the interpreter follows step by step.
 *
 * Every formula is text (see `parseFormula`), every place a reference (see below); nothing of a recipe runs by itself.
 *
 * References  `front.fork`, `back.sideWaist`: a corner or landmark of a piece as it stands (STANDING_POINTS). `block.front.fork`:
 *             the same before the recipe began. `raised`: the point that an earlier step left under that name with `as`.
 *             A step that works on a piece leaves its results under the piece: `as: "raised"` on the back is `back.raised`.
 *             `this.raised`, `this.fork`: of the piece the step works on, so that one step can be written for both.
 * Formulas    may name parameters, values of `let`, results, `NAME.x` and `NAME.y` of any point, seam lengths as
 *             `front.inseam.length`, levels as `level.knee`, measures of the wearer as `body.heel`, and all of the block
 *             before the recipe as `block.…` (STANDING_QUANTITIES).
 */
export interface Recipe {
  /** As it is called in a request: small letters and dashes. */
  readonly name: string;
  readonly title: string;
  /** One sentence: what it does. */
  readonly summary: string;
  /**
   * The phrase that sheets show, each parameter in braces: "drop {drop}, hem in {hemIn}[, cropped by {crop}]". A part
   * in square brackets is left out while its amounts are at their default.
   */
  readonly said?: string;
  /** The unit the shop thinks in, for its readable form; lengths always carry their own. */
  readonly unit?: 'mm' | 'cm' | 'in';
  /** What a block must have, or the recipe is refused before its first step. */
  readonly needs?: Needs;
  readonly parameters: readonly Parameter[];
  readonly steps: readonly Step[];
}

export interface Needs {
  /** Darts that must be there to be moved or removed. */
  readonly darts?: readonly ('front' | 'back')[];
}

export type Parameter = AmountParameter | ChoiceParameter;

/**
 * An amount. Limits and default are written as they are sent: mm for a length, degrees for an angle.
 *
 * With `shareOf` a length may also be sent as a plain number, the share of that formula's length; `min`, `max` and
 * `default` are then shares, and `lengthMax` is the most that may be sent as a length. Formulas always see the length.
 */
export interface AmountParameter {
  readonly name: string;
  readonly quantity: 'length' | 'angle' | 'ratio';
  readonly default: number;
  readonly min: number;
  readonly max: number;
  readonly help: string;
  readonly shareOf?: string;
  /** What the share is of, in words: "of the way from crotch line to knee line". */
  readonly shareWords?: string;
  readonly lengthMax?: number;
}

/** One of several words; in formulas compared as in `waist = 'restore'`. */
export interface ChoiceParameter {
  readonly name: string;
  readonly oneOf: readonly string[];
  readonly default: string;
  /** Where the block is the shop's own and used as it stands. */
  readonly defaultAsIs?: string;
  readonly help: string;
}

export type Step = OperationStep | LetStep | GuardStep | ReportStep | WhenStep;

/** Do an operation of the catalogue. */
export interface OperationStep {
  readonly do: string;
  /** A formula for an amount, a reference for a point, the word itself for a seam or a choice. */
  readonly with?: Readonly<Record<string, string>>;
  /** Which pieces an operation on one piece works on; both when left out. */
  readonly on?: 'front' | 'back' | 'both';
  /** The name its results are known by afterwards. */
  readonly as?: string;
}

/** Give a value a name. `front.` or `back.` in front of it lets steps on that piece use it as `this.NAME`. */
export interface LetStep {
  readonly let: string;
  readonly is: string;
}

/**
 * Something that must hold. What follows when it does not: `refuse` ends the recipe and leaves the block as it was,
 * after all guards that follow it directly have been heard too; the others are said and the recipe goes on.
 */
export interface GuardStep {
  /** A condition; the finding is made when it does NOT hold. */
  readonly guard: string;
  readonly level: 'refuse' | 'stop' | 'warning' | 'info';
  readonly code: string;
  /** Sentences with formulas in braces: "The hem is {hem} wide." `{allowed}` is the range of `allowed` in words. */
  readonly message: string;
  readonly action: string;
  /** Said instead of `action` where the range of `allowed` is empty. */
  readonly otherwise?: string;
  /** The parameter that is the cause. */
  readonly of?: string;
  /** What that parameter may be here; formulas of its quantity. A length is rounded to a tenth of a mm, inwards. */
  readonly allowed?: { readonly min?: string; readonly max?: string };
  readonly place?: { readonly piece?: 'front' | 'back'; readonly part?: string; readonly at?: string };
  /** Figures behind the message, each with its unit as the last word of its name. */
  readonly numbers?: Readonly<Record<string, string>>;
}

/** A figure to be told beside the pieces. */
export interface ReportStep {
  readonly report: string;
  readonly value: string;
}

/** Steps taken only where a condition holds. Names given inside are not known after it. */
export interface WhenStep {
  readonly when: string;
  readonly steps: readonly Step[];
}
