import { along, direction, distance, opposite, type Point } from '#geometry';
import { inMm, type Finding } from '#pattern';
import type { CutNotch, SeamRun } from './cut-piece.js';
import { NOTCH_SHARE_MAX, type FinishRules } from './finish-rules.js';
import { footAtMm, runLengthMm } from './seam-run.js';

/** A notch asked for by seam distance along a run. */
export interface NotchOrder {
  readonly name: string;
  readonly run: SeamRun;
  readonly fromStartMm: number;
  readonly kind: 'slit' | 'v';
}

/** Half a v's opening for its depth: 48 degrees at the tip, what a hand notcher cuts. Common practice, no source. */
const V_HALF_WIDTH = 0.45;
/** Narrower allowances are not notched. */
const ALLOWANCE_MM_MIN = 3;

export interface CutNotches {
  readonly notches: readonly CutNotch[];
  readonly findings: readonly Finding[];
}

/** Notches cut square to the seam, from the cut line towards it. */
export function cutNotches(pieceName: string, orders: readonly NotchOrder[], rules: FinishRules): CutNotches {
  const past = orders.filter((order) => order.fromStartMm > runLengthMm(order.run) + PAST_END_MM);
  const within = orders.filter((order) => !past.includes(order));
  const cut = within.map((order) => {
    const { foot, outwards, widthMm } = footAtMm(order.run, order.fromStartMm, rules.accuracy.seamMm);
    const shape = { name: order.name, seam: order.run.seam, kind: order.kind };
    return notchAt(shape, foot, along(foot, outwards, widthMm), opposite(outwards), widthMm, rules);
  });
  const { notches, findings } = gathered(pieceName, cut, rules);
  return { notches, findings: [...past.map((order) => offSeam(pieceName, order)), ...findings] };
}

/** A notch this little past the end of its seam was set at the end. */
const PAST_END_MM = 0.02;

function offSeam(pieceName: string, { name, run, fromStartMm }: NotchOrder): Finding {
  const pastMm = fromStartMm - runLengthMm(run);
  return {
    code: 'NOTCH_NOT_CUT',
    level: 'warning',
    message: `The ${name} notch on the ${run.seam} of the ${pieceName} is set ${inMm(pastMm)} past the end of the seam.`,
    action: 'Set it again within the seam.',
    place: { part: run.seam },
    numbers: { pastMm },
  };
}

/** Notches whose place on the cut line is known. */
export function notchAt(
  { name, seam, kind }: { readonly name: string; readonly seam: string; readonly kind: 'slit' | 'v' },
  foot: Point,
  at: Point,
  inwards: Point,
  allowanceMm: number,
  rules: FinishRules,
): CutNotch {
  const wanted = rules.notch.kind === 'as-drawn' ? kind : rules.notch.kind;
  const roomMm = allowanceMm < ALLOWANCE_MM_MIN ? 0 : NOTCH_SHARE_MAX * allowanceMm;
  const depthMm = Math.min(rules.notch.depthMm, roomMm);
  const widthMm = wanted === 'v' ? 2 * V_HALF_WIDTH * depthMm : 0;
  return { name, seam, foot, at, inwards, depthMm, widthMm };
}

/** A notch on the way from a point of the cut line to a corner of the seam line. */
export function notchTowards(
  shape: { readonly name: string; readonly seam: string },
  at: Point,
  corner: Point,
  allowanceMm: number,
  rules: FinishRules,
): CutNotch {
  return notchAt({ ...shape, kind: 'slit' }, corner, at, direction(at, corner), allowanceMm, rules);
}

/** What could not be cut is left out, what was cut less deep is said. */
export function gathered(pieceName: string, cut: readonly CutNotch[], { notch }: FinishRules): CutNotches {
  const cuttable = cut.filter(({ depthMm }) => depthMm > 0);
  const isTwin = (one: CutNotch, other: CutNotch): boolean =>
    one.seam === other.seam && distance(one.at, other.at) < TWIN_MM;
  const notches = cuttable.filter((one, i) => !cuttable.slice(0, i).some((other) => isTwin(one, other)));
  const twins = cuttable.filter((one) => !notches.includes(one));
  const lost = cut.filter(({ depthMm }) => depthMm === 0);
  const shallow = notches.filter(({ depthMm }) => depthMm < notch.depthMm);
  return {
    notches,
    findings: [
      ...lost.map((each) => notCut(pieceName, each)),
      ...twins.map((each) => cutOnce(pieceName, each)),
      ...(shallow.length === 0 ? [] : [lessDeep(pieceName, shallow)]),
    ],
  };
}

/** Two notches nearer than this are cut as one: the knife would take out what is between them. */
const TWIN_MM = 1;

function cutOnce(pieceName: string, { name, seam }: CutNotch): Finding {
  return {
    code: 'NOTCH_CUT_ONCE',
    level: 'info',
    message: `The ${name} notch on the ${seam} of the ${pieceName} falls on another; one is cut for both.`,
    action: 'Nothing has to be done.',
    place: { part: seam },
  };
}

function notCut(pieceName: string, { name, seam }: CutNotch): Finding {
  return {
    code: 'NOTCH_NOT_CUT',
    level: 'warning',
    message: `The ${name} notch on the ${seam} of the ${pieceName} has no allowance to be cut into.`,
    action: `Allow at least ${inMm(ALLOWANCE_MM_MIN)} there, or chalk the notch.`,
    place: { part: seam },
  };
}

function lessDeep(pieceName: string, shallow: readonly CutNotch[]): Finding {
  const depthMm = Math.min(...shallow.map((notch) => notch.depthMm));
  const seams = [...new Set(shallow.map(({ seam }) => seam))].join(', ');
  return {
    code: 'NOTCH_LESS_DEEP',
    level: 'info',
    message: `Notches on the ${pieceName} (${seams}) are cut only ${inMm(depthMm)} deep, so as not to reach half the allowance.`,
    action: 'Widen the allowance where a notch has to be deeper.',
    numbers: { depthMm },
  };
}
