import {
  dartsOf,
  inDegrees,
  longerBy,
  pieceOf,
  type Block,
  type Finding,
  type Moved,
  type PieceRole,
} from '#pattern';
import { cornerPoint, measureCorner } from './corner-checks.js';
import { askAboutCorner, fixCorner, PART, type TruableCorner } from './corner-fixes.js';
import { fixDart } from './dart-fixes.js';
import { mergeShortEdges } from './merge-short-edges.js';
import { dartName, measureDarts, measureLongSeam, walkBlock } from './seam-checks.js';
import { askAboutSeam, fixLongSeam, type Trued } from './seam-fixes.js';
import type { AppliedFix, Fix } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';
import { fixWaistKink, waistKinks } from './waist-kinks.js';

export interface TruedBlock {
  readonly block: Block;
  /** Every point and curve that went somewhere else, in the order it was done. */
  readonly moved: readonly Moved[];
  /** For the report on the trued block: which checks would have been off. */
  readonly fixes: readonly AppliedFix[];
  readonly findings: readonly Finding[];
}

/**
 * A block from anywhere made to sew together, as far as a cutter would do it without asking.
 *
 * Only what is off is touched: edges too short to cut are merged, dart legs made equal, the back inseam and outseam
 * made as long as the front's, the corners at fork, side waist and centre waist turned true, and the waist run smoothly
 * over closed darts. Lengths come before corners because the ends of the seams are the corners; what decides nothing
 * comes last, and only as far as it leaves the corners true. The fork, the crease and the notches stay.
 *
 * Shape     `fixes` is what `trueBlock` needs to say `fixed`. Findings: TRUED (info) for each thing done, NOT_TRUED
 *           (warning) for each that has to be asked.
 * Accuracy  seams made equal are equal within twice `rules.lengthToleranceMm`.
 * Errors    PatternError SEAM_MISSING; `checkBlock` says it as a finding first.
 * Cost      under 1 ms for a sound block, about 5 ms where everything is off.
 *
 * `wanted` chooses what may be touched, by the names the checks go by ("inseam", "fork", "back dart 1", "front waist
 * over dart 1"; "short edges"): everything, unless the pattern is somebody else's and they asked for less.
 */
export function trueSeams(
  block: Block,
  rules: TruingRules,
  wanted: (check: string) => boolean = () => true,
): TruedBlock {
  const asked =
    (check: string, step: Step): Step =>
    (so) =>
      wanted(check) ? step(so) : untouched(so);
  const ends = inTurn(block, [
    asked('short edges', (so) => trueShortEdges(so, 'front', rules)),
    asked('short edges', (so) => trueShortEdges(so, 'back', rules)),
    (so) => trueDarts(so, rules, wanted),
    asked('inseam', (so) => trueLongSeam(so, 'inseam', rules)),
    asked('outseam', (so) => trueLongSeam(so, 'outseam', rules)),
  ]);
  // Where an end has moved, its curve has moved with it; how far a curve is bent is counted from there.
  const given = ends.block;
  const bends = inTurn(given, [
    asked('fork', (so) => trueCorner(so, 'fork', given, rules)),
    asked('sideWaist', (so) => trueCorner(so, 'sideWaist', given, rules)),
    asked('centreFrontWaist', (so) => trueCorner(so, 'centreFrontWaist', given, rules)),
    asked('centreBackWaist', (so) => trueCorner(so, 'centreBackWaist', given, rules)),
    (so) => trueWaistOverDarts(so, 'front', given, rules, wanted),
    (so) => trueWaistOverDarts(so, 'back', given, rules, wanted),
  ]);
  return followedBy(ends, bends);
}

/** One step of truing; it gives back the block it got when there is nothing to do. */
type Step = (block: Block) => TruedBlock;

function inTurn(block: Block, steps: readonly Step[]): TruedBlock {
  return steps.reduce((so, step) => followedBy(so, step(so.block)), untouched(block));
}

function followedBy(so: TruedBlock, next: TruedBlock): TruedBlock {
  return {
    block: next.block,
    moved: [...so.moved, ...next.moved],
    fixes: [...so.fixes, ...next.fixes],
    findings: [...so.findings, ...next.findings],
  };
}

function trueShortEdges(block: Block, role: PieceRole, rules: TruingRules): TruedBlock {
  const { shortEdgeMm } = rules.outline;
  const { piece, gone } = mergeShortEdges(pieceOf(block, role), shortEdgeMm, rules.lengthToleranceMm);
  return {
    block: gone.length === 0 ? block : { ...block, [role]: piece },
    moved: gone.map(({ edge, lengthMm }) => ({
      operation: 'merge short edge',
      piece: role,
      part: edge.id,
      byMm: lengthMm,
    })),
    fixes: [],
    findings: gone.map(({ edge, lengthMm }): Finding => ({
      code: 'TRUED',
      level: 'info',
      message: `Edge ${edge.id} of the ${role} was only ${lengthMm.toFixed(3)} mm long.`,
      action: 'It was merged into its neighbour.',
      place: { piece: role, part: edge.role },
      numbers: { lengthMm },
    })),
  };
}

function trueDarts(block: Block, rules: TruingRules, wanted: (check: string) => boolean): TruedBlock {
  const darts = (['front', 'back'] as const).flatMap((role) =>
    dartsOf(pieceOf(block, role)).map((_, index) => ({ role, index })),
  );
  const step =
    ({ role, index }: (typeof darts)[number]): Step =>
    (before) => {
      const name = dartName(role, index);
      const measured = measureDarts(before, rules).find((dart) => dart.name === name);
      if (measured === undefined || measured.within) return untouched(before);
      const problem = `The centre leg of ${name} is ${longerBy(measured.difference)} than its side leg.`;
      const ask: Fix = {
        kind: 'ask',
        piece: role,
        part: name,
        byMm: Math.abs(measured.difference),
        words: `Redraw ${name}.`,
      };
      return outcome(before, name, problem, fixDart(before, role, index, rules), ask, {
        piece: role,
        part: name,
      });
    };
  return inTurn(block, darts.filter(({ role, index }) => wanted(dartName(role, index))).map(step));
}

function trueLongSeam(block: Block, seam: 'inseam' | 'outseam', rules: TruingRules): TruedBlock {
  const walks = walkBlock(block, rules.lengthToleranceMm);
  const { within, difference } = measureLongSeam(block, seam, walks, rules, 0);
  if (within) return untouched(block);
  const problem = `The back ${seam} was ${longerBy(difference)} than the front's.`;
  return outcome(block, seam, problem, fixLongSeam(block, seam, rules), askAboutSeam(seam, difference), {
    piece: 'back',
    part: seam,
  });
}

function trueCorner(block: Block, at: TruableCorner, given: Block, rules: TruingRules): TruedBlock {
  const measured = measureCorner(block, at, rules);
  if (measured.within) return untouched(block);
  const problem = `The ${PART[at]} came to ${inDegrees(measured.sumDeg)} instead of ${inDegrees(measured.sumDeg - measured.deviationDeg)}.`;
  return outcome(block, at, problem, fixCorner(block, at, given, rules), askAboutCorner(measured), {
    part: PART[at],
    at: cornerPoint(block, at),
  });
}

/** Fixing one kink leaves the others as they are: each bends its own two ends of the waist. */
function trueWaistOverDarts(
  block: Block,
  role: PieceRole,
  given: Block,
  rules: TruingRules,
  wanted: (check: string) => boolean,
): TruedBlock {
  const step =
    (dart: number): Step =>
    (before) => {
      const kink = waistKinks(pieceOf(before, role), rules).find((candidate) => candidate.dart === dart);
      if (kink === undefined) return untouched(before);
      const part = `waist over dart ${dart}`;
      const problem = `The waist of the ${role} had a kink of ${inDegrees(Math.abs(kink.kinkDeg))} over closed dart ${dart}.`;
      const words = `Fold dart ${dart} of the ${role} shut and redraw the waist across it.`;
      const ask: Fix = { kind: 'ask', piece: role, part, byMm: 0, words };
      const place = { piece: role, part, at: kink.at };
      return outcome(
        before,
        `${role} ${part}`,
        problem,
        fixWaistKink(before, role, kink, given, rules),
        ask,
        place,
      );
    };
  const kinks = waistKinks(pieceOf(block, role), rules);
  return inTurn(
    block,
    kinks.filter(({ dart }) => wanted(`${role} waist over dart ${dart}`)).map((kink) => step(kink.dart)),
  );
}

function untouched(block: Block): TruedBlock {
  return { block, moved: [], fixes: [], findings: [] };
}

function outcome(
  before: Block,
  of: string,
  problem: string,
  trued: Trued | undefined,
  ask: Fix,
  place: NonNullable<Finding['place']>,
): TruedBlock {
  if (trued === undefined) {
    const notTrued: Finding = {
      code: 'NOT_TRUED',
      level: 'warning',
      message: problem,
      action: ask.words,
      place,
    };
    return { ...untouched(before), findings: [notTrued] };
  }
  const { block, moved, fix } = trued;
  const done: Finding = {
    code: 'TRUED',
    level: 'info',
    message: problem,
    action: `Done: ${fix.words}`,
    place,
    numbers: { movedMm: fix.byMm },
  };
  return { block, moved, fixes: [{ of, fix }], findings: [done] };
}
