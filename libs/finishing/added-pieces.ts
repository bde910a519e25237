import { at, line, type Point } from '#geometry';
import type { AddedPiece, Block } from '#pattern';
import type { FinishRules } from './finish-rules.js';
import { stripSides, type SmallPiecePlan } from './small-piece.js';

/** The arrow takes this part of a piece along its grain. */
const GRAIN = [0.3, 0.7] as const;

/**
 * How the waist is finished where an alteration has added its own casing: as one, of its height, whatever was ordered
 * for a waist with a band.
 */
export function casingRules(block: Block, rules: FinishRules): FinishRules {
  const casing = block.added?.find(({ sewnTo }) => sewnTo === 'waist');
  if (casing === undefined) return rules;
  return { ...rules, waist: { ...rules.waist, finish: 'elastic-casing', heightMm: casing.widthMm / 2 } };
}

/**
 * Cuffs and gussets that an alteration has added, as they are cut. A casing is measured from the waist itself, by
 * `casingRules`.
 *
 * Shape  a strip stands upright, its sewn edge on the left; a diamond stands on a corner, its longer diagonal upright.
 */
export function addedPlans({ added = [] }: Block, rules: FinishRules): SmallPiecePlan[] {
  return added
    .filter(({ sewnTo }) => sewnTo !== 'waist')
    .map((piece) => (piece.shape === 'diamond' ? diamondPlan(piece, rules) : stripPlan(piece, rules)));
}

function stripPlan(
  { name, shape, lengthMm, widthMm, sewnTo, count }: AddedPiece,
  rules: FinishRules,
): SmallPiecePlan {
  const folded = shape === 'folded-strip';
  const middle = widthMm / 2;
  const names = [sewnTo, 'end', folded ? `${sewnTo} inside` : 'edge', 'end'] as const;
  return {
    id: idOf(name),
    name,
    sides: stripSides(widthMm, lengthMm, names, rules.allowances.smallPiecesMm),
    notches: [],
    lines: folded ? [{ role: 'fold', curves: [line(at(middle, 0), at(middle, lengthMm))] }] : [],
    grain: [at(middle / 2, GRAIN[0] * lengthMm), at(middle / 2, GRAIN[1] * lengthMm)],
    quantity: { asDrawn: count, mirrored: 0 },
    cloth: ['shell'],
  };
}

function diamondPlan({ name, lengthMm, widthMm, count }: AddedPiece, rules: FinishRules): SmallPiecePlan {
  const halfMm = widthMm / 2;
  const highMm = Math.sqrt(lengthMm * lengthMm - halfMm * halfMm);
  // Clockwise from the lower corner: left lies on the front rise, right on the back rise, above and below on the inseams.
  const corners: Point[] = [at(0, -highMm), at(-halfMm, 0), at(0, highMm), at(halfMm, 0)];
  const seams = ['front inseam', 'front inseam', 'back inseam', 'back inseam'];
  return {
    id: idOf(name),
    name,
    sides: corners.map((corner, i) => ({
      seam: seams[i],
      curves: [line(corner, corners[(i + 1) % corners.length])],
      widthMm: rules.allowances.smallPiecesMm,
    })),
    notches: [],
    lines: [],
    grain: [at(0, -GRAIN[0] * highMm), at(0, GRAIN[0] * highMm)],
    quantity: { asDrawn: count, mirrored: 0 },
    cloth: ['shell'],
  };
}

function idOf(name: string): string {
  return name.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-');
}
