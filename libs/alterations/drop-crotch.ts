import { direction, distance, type Point } from '#geometry';
import { edgesOf, type Block, type Finding, type Moved, type Piece, type PieceRole } from '#pattern';
import { blendCentre, squareToRise } from './blend.js';
import { copyEdge } from './copy-edge.js';
import type { AlterationResult, AlterationTolerances, Wearer } from './alteration-result.js';
import type { DropCrotchParameters } from './drop-crotch-parameters.js';
import { dropFindings, riseGrowth } from './drop-findings.js';
import { dropLevels, refusedLevels, type DropLevels } from './drop-range.js';
import { closedUp, settleIds, withoutShortEdges } from './edge-identity.js';
import { endBalanceLines } from './end-balance-lines.js';
import { polygonOf } from './inside-outline.js';
import { keepBackInseam } from './keep-back-inseam.js';
import { layFly } from './lay-fly.js';
import { matchOutseam } from './match-seam.js';
import { moveHemPointTo } from './move-hem-point.js';
import { done, inOrder, onBoth, renamed, type Outcome, type PiecePair } from './outcome.js';
import { planDropCrotch, type DropCrotchPlan } from './plan-drop-crotch.js';
import { reNotch } from './re-notch.js';
import { redrawSeam, straightenSeam } from './redraw-seam.js';
import { resizeWaist } from './resize-girth.js';
import { endOfRun, runLengthMm, startOfRun } from './run.js';
import { setLength } from './set-length.js';
import { edgesOfWaist, waistLineOf } from './waist-line.js';

/**
 * Turn a trouser block into a drop-crotch trouser.
 *
 * A cutter's steps, in this order because each needs the one before: set the length, draw the new fork level and
 * both rises to it, take the hem in, draw the front inseam and copy it to the back, straighten the outseams and make
 * the back as long as the front, blend the waist into the raised centres and give back what it lost.
 *
 * Shape     `block` is the altered block with balance lines, fly and notches set again; or, when refused, the block
 *           as it was with every reason at once, each with the range that would work.
 * Units     mm.
 * Accuracy  inseams identical (copy-front), outseams and a restored waist equal within 1e-5 mm, corners at fork and
 *           side summing to 180 degrees and square at the centre within rounding.
 * Errors    none thrown for a block that passed `checkBlock`; refusals are stop findings.
 * Source    method and default amounts: common practice, no source; the corner rule at the fork is derived.
 */
export function dropCrotch(
  block: Block,
  parameters: DropCrotchParameters,
  wearer: Wearer,
  tolerances: AlterationTolerances,
): AlterationResult {
  const levels = dropLevels(block, parameters);
  const refusals = refusedLevels(block, parameters, levels, wearer.pointer);
  if (refusals.length > 0) return { block, moved: [], findings: refusals, refused: true };
  const outcome = drawn({ block, parameters, levels, wearer, tolerances });
  if (outcome.state === 'refused') return { block, moved: [], findings: [outcome.finding], refused: true };
  const { after, plan, stretchMm, findings } = outcome.value;
  const drawnBlock = { before: block, after, plan, parameters, levels, wearer };
  return {
    block: after,
    moved: outcome.moved,
    findings: [...plan.findings, ...findings, ...dropFindings(drawnBlock, tolerances)],
    refused: false,
    intendedStretchMm: stretchMm,
  };
}

interface Job {
  readonly block: Block;
  readonly parameters: DropCrotchParameters;
  readonly levels: DropLevels;
  readonly wearer: Wearer;
  readonly tolerances: AlterationTolerances;
}

interface DrawnBlock {
  readonly after: Block;
  readonly plan: DropCrotchPlan;
  readonly stretchMm: number;
  readonly findings: readonly Finding[];
}

function drawn(job: Job): Outcome<DrawnBlock> {
  const { block, parameters, levels, wearer, tolerances } = job;
  const start: PiecePair = { front: block.front, back: block.back };
  const cut =
    parameters.cropMm === 0
      ? done(start)
      : onBoth(start, (piece) => setLength(piece, levels.hemMm, tolerances.lengthMm));
  if (cut.state === 'refused') return cut;
  const plan = planDropCrotch(cut.value, block.levels, parameters, levels, wearer);
  if (plan.state === 'refused') return plan;
  const legs = drawLegs(job, cut.value, plan.value);
  if (legs.state === 'refused') return legs;
  const waist = closeWaist(job, legs.value.pieces, plan.value);
  if (waist.state === 'refused') return waist;
  const pieces = onBothPieces(waist.value, (piece) => whole(block[piece.role], piece));
  const finished = finish(job, pieces);
  if (finished.state === 'refused') return finished;
  const { after, findings } = finished.value;
  const value = {
    after,
    plan: plan.value,
    stretchMm: legs.value.stretchMm,
    findings: [...legs.value.findings, ...findings],
  };
  return done(value, [
    ...forkRecords(job, after),
    ...cut.moved,
    ...plan.moved,
    ...legs.moved,
    ...waist.moved,
    ...finished.moved,
  ]);
}

interface Legs {
  readonly pieces: PiecePair;
  readonly stretchMm: number;
  readonly findings: readonly Finding[];
}

// Rises, hems, inseams and outseams; the waist still ends at the old centres.
function drawLegs(
  { parameters, block, tolerances }: Job,
  pieces: PiecePair,
  plan: DropCrotchPlan,
): Outcome<Legs> {
  const toleranceMm = tolerances.lengthMm;
  const drawnRises = onBoth(pieces, (piece) =>
    inOrder(piece, [
      (p) => redrawSeam(p, 'rise', plan[p.role].centreWaist, [{ to: plan.fork }], toleranceMm),
      (p) => moveHemPointTo(p, plan[p.role].hemInseam),
    ]),
  );
  if (drawnRises.state === 'refused') return drawnRises;
  const front = inseamTo(drawnRises.value.front, plan, toleranceMm);
  if (front.state === 'refused') return front;
  const back = backInseam(parameters, front.value, drawnRises.value.back, plan, toleranceMm);
  if (back.state === 'refused') return back;
  const trued = inOrder<PiecePair>({ front: front.value, back: back.value.back }, [
    (pair) =>
      onBoth(pair, (piece) => straightenSeam(piece, block.levels.crotch, block.levels.hip, toleranceMm)),
    (pair) => matchOutseam(pair, block.levels.hip, toleranceMm),
  ]);
  if (trued.state === 'refused') return trued;
  const { stretchMm, findings } = back.value;
  return done({ pieces: trued.value, stretchMm, findings }, [
    ...drawnRises.moved,
    ...front.moved,
    ...back.moved,
    ...trued.moved,
  ]);
}

function inseamTo(piece: Piece, plan: DropCrotchPlan, toleranceMm: number): Outcome<Piece> {
  const { taper, hemInseam } = plan[piece.role];
  const tangents = { leaving: plan.leaving, arriving: direction(taper, hemInseam) };
  return redrawSeam(
    piece,
    'inseam',
    plan.fork,
    [{ to: taper, untilLevelMm: plan.taperLevelMm, tangents }, { to: hemInseam }],
    toleranceMm,
  );
}

function backInseam(
  { inseamTruing }: DropCrotchParameters,
  front: Piece,
  back: Piece,
  plan: DropCrotchPlan,
  toleranceMm: number,
): Outcome<Omit<Legs, 'pieces'> & { readonly back: Piece }> {
  if (inseamTruing === 'copy-front') {
    return renamed(copyEdge(front, back, 'inseam', toleranceMm), (copied) => ({
      back: copied,
      stretchMm: 0,
      findings: [],
    }));
  }
  const own = inseamTo(back, plan, toleranceMm);
  if (own.state === 'refused') return own;
  const kept = keepBackInseam(front, own.value, toleranceMm);
  return kept.state === 'refused' ? kept : done(kept.value, [...own.moved, ...kept.moved]);
}

// Blend each waist into its raised centre; then, when asked, bring the whole back to the length it had.
function closeWaist({ parameters, block }: Job, pieces: PiecePair, plan: DropCrotchPlan): Outcome<PiecePair> {
  const blended = onBoth(pieces, (piece) => done(blendWaist(piece, plan)));
  if (blended.state === 'refused' || parameters.waist === 'leave') return blended;
  const targetMm = runLengthMm(edgesOf(block.front, 'waist')) + runLengthMm(edgesOf(block.back, 'waist'));
  return renamed(resizeWaist(blended.value, targetMm, block.levels.hip), ({ front, back }) => ({
    front,
    back,
  }));
}

function blendWaist(piece: Piece, plan: DropCrotchPlan): Piece {
  const { centreWaist } = plan[piece.role];
  const waist = waistLineOf(piece);
  const last = waist.runs.length - 1;
  const blended = blendCentre(waist.runs[last], centreWaist, squareToRise(centreWaist, plan.fork));
  const rest = piece.edges.filter(({ role }) => role !== 'waist' && role !== 'dart');
  return { ...piece, edges: [...rest, ...edgesOfWaist({ ...waist, runs: waist.runs.with(last, blended) })] };
}

function whole(before: Piece, piece: Piece): Piece {
  return settleIds(before, closedUp(withoutShortEdges(piece)));
}

interface Finished {
  readonly after: Block;
  readonly findings: readonly Finding[];
}

// Draw into the outline what the eye goes by. Whether it meets itself is the truing report's to say.
function finish({ block, levels, tolerances }: Job, pieces: PiecePair): Outcome<Finished> {
  const newLevels = { ...block.levels, crotch: levels.forkMm, hem: levels.hemMm };
  const lined = onBoth(pieces, (piece) => endBalanceLines(block[piece.role], piece, newLevels));
  if (lined.state === 'refused') return lined;
  const phi = riseGrowth(block, { ...block, ...lined.value }, tolerances.lengthMm);
  const fly = layFly(block.front, lined.value.front, phi, levels.forkMm, polygonOf(lined.value.front));
  if (fly.state === 'refused') return fly;
  const notched = reNotch(
    block,
    { front: fly.value.front, back: lined.value.back, levels: newLevels },
    tolerances.lengthMm,
  );
  if (notched.state === 'refused') return notched;
  const { front, back, dropped } = notched.value;
  const after = { ...block, levels: newLevels, front, back };
  const findings = [...fly.value.findings, ...droppedNotches(dropped)];
  return done({ after, findings }, [...lined.moved, ...fly.moved, ...notched.moved]);
}

const ROLES = ['front', 'back'] as const satisfies readonly PieceRole[];

function onBothPieces(pieces: PiecePair, change: (piece: Piece) => Piece): PiecePair {
  return { front: change(pieces.front), back: change(pieces.back) };
}

function droppedNotches(dropped: readonly { readonly piece: PieceRole }[]): Finding[] {
  if (dropped.length === 0) return [];
  return [
    {
      code: 'NOTCH_DROPPED',
      level: 'warning',
      message: `${dropped.length} notches of the block have no place on the new seams and were left out.`,
      action: 'Set them by hand where they are needed.',
      numbers: { count: dropped.length },
    },
  ];
}

// The two points a technician looks for first: where the fork and the centre waist went.
function forkRecords({ block }: Job, after: Block): Moved[] {
  return ROLES.flatMap((role): Moved[] => {
    const record = (part: string, from: Point, to: Point): Moved => ({
      operation: 'redraw seam',
      piece: role,
      part,
      byMm: distance(from, to),
      from,
      to,
    });
    const was = edgesOf(block[role], 'rise');
    const is = edgesOf(after[role], 'rise');
    return [
      record('fork', endOfRun(was), endOfRun(is)),
      record('centre waist', startOfRun(was), startOfRun(is)),
    ];
  });
}
