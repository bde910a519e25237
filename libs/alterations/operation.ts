import type { Point } from '#geometry';
import type { Block, Finding, PieceRole } from '#pattern';
import type { AlterationTolerances, Wearer } from './alteration-result.js';
import type { Outcome } from './outcome.js';

/**
 * What an argument is. Lengths are mm, angles radians. A point is a named place of a piece; seam, choice and text are
 * words written as they are, never formulas.
 */
export type ArgumentKind = 'length' | 'angle' | 'ratio' | 'point' | 'seam' | 'choice' | 'text';

export interface Argument {
  readonly kind: ArgumentKind;
  /** What it says, as the rest of a sentence: "how far past the second point". */
  readonly says: string;
  readonly optional?: true;
  /** The words it may be, for a seam and a choice. */
  readonly oneOf?: readonly string[];
}

export type ResultKind = 'length' | 'angle' | 'ratio' | 'yes-no' | 'point';

/** What an operation is given for an argument, or leaves as a result. */
export type OperationValue = number | boolean | string | Point;

/**
 * What an operation works on: points alone, one piece at a time (front, back, or one after the other), or the pair that
 * is sewn to each other.
 */
export type OperationScope = 'points' | 'piece' | 'pair';

/**
 * One step of an alteration, as a shop may write it into a recipe.
 *
 * Shape     declared in data, so that a recipe can be checked and read aloud without running it: `sentence` holds each
 *           argument as `{name}`; a part in square brackets is said only where its arguments are given. `run` is pure.
 *           A single result takes the name that the step gives it, several take that name, a dot and their own.
 * Units     as `ArgumentKind` says.
 * Edges     `version` grows whenever the same arguments would give another pattern; a published recipe holds on to the
 *           version it was published with.
 * Errors    `run` answers a refusal for a pattern that cannot take the step; a throw is a bug or, for PatternError and
 *           GeometryError, an outline that an earlier step left in pieces: the interpreter says so.
 */
export interface Operation {
  readonly name: string;
  readonly version: number;
  readonly summary: string;
  readonly sentence: string;
  readonly scope: OperationScope;
  readonly arguments: Readonly<Record<string, Argument>>;
  readonly results: Readonly<Record<string, ResultKind>>;
  readonly run: (job: OperationJob) => Outcome<Operated>;
}

export interface OperationJob {
  /** The block as the recipe found it. */
  readonly before: Block;
  /** The block as the steps before have made it. */
  readonly block: Block;
  /** The piece to work on; front for an operation on the pair or on points alone. */
  readonly role: PieceRole;
  readonly args: Arguments;
  readonly wearer: Wearer;
  readonly tolerances: AlterationTolerances;
}

/** What an operation made. */
export interface Operated {
  readonly block: Block;
  readonly results?: Readonly<Record<string, OperationValue>>;
  readonly findings?: readonly Finding[];
  /** How much shorter than the front the back inseam is meant to be from here on. */
  readonly stretchMm?: number;
  /** What the whole waist seam is meant to measure from here on. */
  readonly waistMm?: number;
}

/** The arguments of a step, each looked up by its kind: asking for one that the operation does not declare is a bug. */
export class Arguments {
  constructor(private readonly values: Readonly<Record<string, OperationValue | undefined>>) {}

  number(name: string): number {
    const value = this.values[name];
    if (typeof value !== 'number') throw new TypeError(`the argument ${name} is no number`);
    return value;
  }

  word(name: string): string {
    const value = this.values[name];
    if (typeof value !== 'string') throw new TypeError(`the argument ${name} is no word`);
    return value;
  }

  point(name: string): Point {
    const value = this.values[name];
    if (typeof value !== 'object') throw new TypeError(`the argument ${name} is no point`);
    return value;
  }

  has(name: string): boolean {
    return this.values[name] !== undefined;
  }

  numberOr<Other>(name: string, other: Other): number | Other {
    return this.has(name) ? this.number(name) : other;
  }

  wordOr(name: string, other: string): string {
    return this.has(name) ? this.word(name) : other;
  }
}
