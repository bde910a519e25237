import {
  along,
  crossingsWithLine,
  direction,
  distance,
  endOf,
  lerp,
  line,
  pointAt,
  quadratureLength,
  startOf,
  type Point,
} from '#geometry';
import { dartsOf, outlineOf, pleatsOf, type Dart, type Edge, type Finding, type Piece } from '#pattern';
import type { CutNotch, CutPieceLine, DrillHole, MadePiece, SeamRun, WidthStation } from './cut-piece.js';
import { cutNotches, gathered, notchTowards, type NotchOrder } from './cut-notch.js';
import { naturalEnd, type NaturalEnd } from './corners.js';
import { cutRing, type CutRing, type RunJoint } from './cut-ring.js';
import type { FinishRules } from './finish-rules.js';
import { runEnd, runEndDirection, runStart, runStartDirection, strandOf, widthAtMm } from './seam-run.js';
import { straightRiseMm } from './set-notches.js';
import { grainDirection } from './shrinkage.js';
import { endAtLine, endOfStrand, startAtLine, startOfStrand } from './strand.js';

/** A drill hole stands this far short of the point of its dart; common practice (10 to 15 mm), no source. */
const SHORT_OF_APEX_MM = 12;
const DRILL_MM = 2;

/** A run with the edges it is made of. */
interface EdgeRun {
  readonly run: SeamRun;
  readonly edges: readonly Edge[];
  /** The dart that follows it, if one does. */
  readonly dart?: Dart;
}

/**
 * Front or back as it is cut.
 *
 * `piece` has its hem shaped and its notches set. Findings: a corner that had no room for its treatment, an allowance
 * wider than a bend of the seam, notches that could not be cut as asked.
 */
export function finishTrouserPiece(piece: Piece, ends: AllowanceEnds, rules: FinishRules): MadePiece {
  const edgeRuns = runsOf(piece, rules);
  const runs = edgeRuns.map(({ run }) => run);
  const joints = edgeRuns.map((edgeRun, i) =>
    jointAfter(edgeRun, edgeRuns[(i + 1) % edgeRuns.length], ends, rules),
  );
  const ring = cutRing(runs, joints, rules.accuracy.cutLineMm);
  const name = piece.role === 'front' ? 'Front' : 'Back';
  const orders = [...notchOrders(piece, edgeRuns), ...pleatNotches(piece, edgeRuns)];
  const seamNotches = cutNotches(piece.role, orders, rules);
  const cornerNotches = gathered(
    piece.role,
    [...hemFoldNotches(edgeRuns, rules), ...dartNotches(piece, edgeRuns, rules)],
    rules,
  );
  return {
    piece: {
      id: piece.role,
      name,
      cut: ring.cut,
      runs,
      darts: dartsOf(piece).map(({ sideLeg, centreLeg }) => [sideLeg.curve, centreLeg.curve]),
      notches: [...seamNotches.notches, ...cornerNotches.notches],
      drillHoles: drillHoles(piece),
      lines: [...drawnLines(piece), ...pleatLines(piece)],
      grain: grainArrow(piece),
      quantity: { asDrawn: 1, mirrored: 1 },
      cloth: ['shell'],
    },
    findings: [
      ...ringFindings(piece, edgeRuns, joints, ring),
      ...seamNotches.findings,
      ...cornerNotches.findings,
    ],
  };
}

/** Where the allowances of front and back end together, beyond the corner of the seam line. */
export interface AllowanceEnds {
  readonly fork: { readonly endMm?: number };
  readonly sideWaist: { readonly endMm?: number };
}

/**
 * The common ends of the inseam's allowances at the fork and of the outseam's at the waist.
 *
 * On one of the two pieces the corner is at most a right angle and the other cut line has to be carried on to the seam;
 * on its partner that cut line is there already, and decides.
 */
export function allowanceEnds(front: Piece, back: Piece, rules: FinishRules): AllowanceEnds {
  const common = (into: string, outOf: string, seam: 'before' | 'after'): { readonly endMm?: number } => {
    const ends = [front, back].map((piece) => seamEnd(piece, into, outOf, seam, rules));
    const decides = ends.find((end) => end?.onCutLine === true);
    return decides === undefined ? {} : { endMm: decides.endMm };
  };
  return { fork: common('rise', 'inseam', 'after'), sideWaist: common('outseam', 'waist', 'before') };
}

function seamEnd(
  piece: Piece,
  into: string,
  outOf: string,
  seam: 'before' | 'after',
  rules: FinishRules,
): NaturalEnd | undefined {
  const runs = runsOf(piece, rules).map(({ run }) => run);
  const before = runs.find((run) => run.seam === into);
  const after = runs.find((run) => run.seam === outOf);
  if (before === undefined || after === undefined) return undefined;
  const corner = { at: runEnd(before), into: runEndDirection(before), outOf: runStartDirection(after) };
  const { cutLineMm } = rules.accuracy;
  return naturalEnd(strandOf(before, cutLineMm), strandOf(after, cutLineMm), corner, seam);
}

/** Edges shorter than this are no part of the outline's shape. */
const NO_LENGTH_MM = 1e-6;

function runsOf(piece: Piece, rules: FinishRules): EdgeRun[] {
  const darts = dartsOf(piece);
  const pleated = new Set(pleatsOf(piece).flatMap(({ sideLeg, centreLeg }) => [sideLeg, centreLeg]));
  const groups: { edges: Edge[]; dart?: Dart }[] = [];
  let wasDart = false;
  for (const edge of piece.edges) {
    if (edge.role === 'dart' && !pleated.has(edge)) {
      const dart = darts.find(({ sideLeg }) => sideLeg === edge);
      const last = groups.at(-1);
      if (dart !== undefined && last !== undefined) last.dart = dart;
      wasDart = true;
      continue;
    }
    if (quadratureLength(edge.curve) <= NO_LENGTH_MM) continue;
    const last = groups.at(-1);
    if (last !== undefined && !wasDart && last.edges[0].role === seamOf(edge)) last.edges.push(edge);
    else groups.push({ edges: [edge] });
    wasDart = false;
  }
  return groups.map(({ edges, dart }) => ({
    run: {
      seam: edges[0].role,
      curves: edges.map(({ curve }) => curve),
      widths: widthsOf(piece, edges, rules),
    },
    edges,
    ...(dart === undefined ? {} : { dart }),
  }));
}

/** The two edges of a pleat are cut with the waist they lie in, which is laid on itself only when it is sewn. */
function seamOf({ role }: Edge): Edge['role'] {
  return role === 'dart' ? 'waist' : role;
}

function widthsOf(piece: Piece, edges: readonly Edge[], { allowances }: FinishRules): WidthStation[] {
  const [{ role }] = edges;
  if (role === 'rise') {
    const centreMm = piece.role === 'front' ? allowances.centreFrontMm : allowances.centreBackMm;
    const lengthMm = edges.reduce((sum, { curve }) => sum + quadratureLength(curve), 0);
    const straightMm = straightRiseMm(piece);
    return taper(centreMm, allowances.forkMm, straightMm > 0 ? straightMm : lengthMm, lengthMm);
  }
  const widthMm = {
    inseam: allowances.inseamMm,
    outseam: allowances.outseamMm,
    hem: allowances.hemMm,
    waist: allowances.waistMm,
    dart: 0,
  }[role];
  return [{ fromStartMm: 0, widthMm }];
}

function taper(fromMm: number, toMm: number, overMm: number, lengthMm: number): WidthStation[] {
  const stations = [
    { fromStartMm: 0, widthMm: fromMm },
    { fromStartMm: overMm, widthMm: toMm },
  ];
  return overMm < lengthMm ? [...stations, { fromStartMm: lengthMm, widthMm: toMm }] : stations;
}

function jointAfter(
  { run, dart }: EdgeRun,
  next: EdgeRun,
  ends: AllowanceEnds,
  rules: FinishRules,
): RunJoint {
  const { corners } = rules;
  const { mitreLimit } = corners;
  if (dart !== undefined)
    return { apex: dart.apex, sideLeg: startOf(dart.sideLeg.curve), centreLeg: endOf(dart.centreLeg.curve) };
  switch (`${run.seam} ${next.run.seam}`) {
    case 'rise inseam':
      return { treatment: corners.fork, seam: 'after', mitreLimit, ...ends.fork };
    case 'inseam hem':
      return { treatment: corners.hem, seam: 'before', mitreLimit, fold: foldDirection(next.run) };
    case 'hem outseam':
      return { treatment: corners.hem, seam: 'after', mitreLimit, fold: foldDirection(run) };
    case 'outseam waist':
      return { treatment: corners.sideWaist, seam: 'before', mitreLimit, ...ends.sideWaist };
    case 'waist rise':
      return { treatment: corners.centreWaist, seam: 'after', mitreLimit };
    default:
      return { treatment: 'mitre', seam: 'after', mitreLimit };
  }
}

function foldDirection(hem: SeamRun): Point {
  return direction(runStart(hem), runEnd(hem));
}

function notchOrders(piece: Piece, edgeRuns: readonly EdgeRun[]): NotchOrder[] {
  return piece.notches.flatMap((notch): NotchOrder[] => {
    const edgeRun = edgeRuns.find(({ edges }) => edges.some(({ id }) => id === notch.edgeId));
    if (edgeRun === undefined) return [];
    const { run, edges } = edgeRun;
    const before = edges.slice(
      0,
      edges.findIndex(({ id }) => id === notch.edgeId),
    );
    const fromStartMm =
      before.reduce((sum, { curve }) => sum + quadratureLength(curve), 0) + notch.fromStartMm;
    return [{ name: notch.name ?? 'balance', run, fromStartMm, kind: notch.kind }];
  });
}

/** Where the fold of the hem, carried on, leaves the allowances of both leg seams. */
function hemFoldNotches(edgeRuns: readonly EdgeRun[], rules: FinishRules): CutNotch[] {
  const hem = edgeRuns.find(({ run }) => run.seam === 'hem')?.run;
  if (hem === undefined) return [];
  const towards = foldDirection(hem);
  return edgeRuns.flatMap(({ run }): CutNotch[] => {
    if (run.seam !== 'inseam' && run.seam !== 'outseam') return [];
    const strand = strandOf(run, rules.accuracy.cutLineMm);
    const corner = run.seam === 'inseam' ? runEnd(run) : runStart(run);
    const line = { origin: corner, towards };
    const met = run.seam === 'inseam' ? endAtLine(strand, line) : startAtLine(strand, line);
    if (met === undefined) return [];
    const at = run.seam === 'inseam' ? endOfStrand(met) : startOfStrand(met);
    return at === corner || distance(at, corner) === 0
      ? []
      : [notchTowards({ name: 'hem fold', seam: run.seam }, at, corner, widthAtMm(run.widths, 0), rules)];
  });
}

function dartNotches(piece: Piece, edgeRuns: readonly EdgeRun[], rules: FinishRules): CutNotch[] {
  const waist = edgeRuns.filter(({ run }) => run.seam === 'waist');
  return dartsOf(piece).flatMap((dart, i): CutNotch[] => {
    const side = waist.find((edgeRun) => edgeRun.dart?.sideLeg === dart.sideLeg)?.run;
    const centreFoot = endOf(dart.centreLeg.curve);
    const centre = waist.find(({ run }) => distance(runStart(run), centreFoot) < NO_LENGTH_MM)?.run;
    if (side === undefined || centre === undefined) return [];
    const sideFoot = startOf(dart.sideLeg.curve);
    const sideEnd = endAtLine(strandOf(side, rules.accuracy.cutLineMm), legLine(dart, sideFoot));
    const centreEnd = startAtLine(strandOf(centre, rules.accuracy.cutLineMm), legLine(dart, centreFoot));
    if (sideEnd === undefined || centreEnd === undefined) return [];
    const name = `dart ${i + 1}`;
    const widthMm = rules.allowances.waistMm;
    if (widthMm === 0) return [];
    return [
      notchTowards(
        { name: `${name} side leg`, seam: 'waist' },
        endOfStrand(sideEnd),
        sideFoot,
        widthMm,
        rules,
      ),
      notchTowards(
        { name: `${name} centre leg`, seam: 'waist' },
        startOfStrand(centreEnd),
        centreFoot,
        widthMm,
        rules,
      ),
    ];
  });
}

/** Both ends of a pleat on the waist; the fold that shows is the one nearer the centre. */
function pleatNotches(piece: Piece, edgeRuns: readonly EdgeRun[]): NotchOrder[] {
  return pleatsOf(piece).flatMap(({ sideLeg, centreLeg }, i): NotchOrder[] => {
    const edgeRun = edgeRuns.find(({ edges }) => edges.includes(sideLeg));
    if (edgeRun === undefined) return [];
    const { run, edges } = edgeRun;
    const toMm = (edge: Edge): number =>
      edges.slice(0, edges.indexOf(edge)).reduce((sum, { curve }) => sum + quadratureLength(curve), 0);
    const name = `pleat ${i + 1}`;
    const endMm = toMm(centreLeg) + quadratureLength(centreLeg.curve);
    return [
      { name: `${name} under`, run, fromStartMm: toMm(sideLeg), kind: 'slit' },
      { name: `${name} fold`, run, fromStartMm: endMm, kind: 'slit' },
    ];
  });
}

/** How far down the folds of a pleat are drawn, along the grain. */
const PLEAT_LINE_MM = 80;

function pleatLines(piece: Piece): CutPieceLine[] {
  return pleatsOf(piece)
    .flatMap(({ sideLeg, centreLeg }) => [startOf(sideLeg.curve), endOf(centreLeg.curve)])
    .map((p) => ({ role: 'placement', curves: [line(p, along(p, { x: 0, y: -1 }, PLEAT_LINE_MM))] }));
}

function legLine(dart: Dart, foot: Point): { readonly origin: Point; readonly towards: Point } {
  return { origin: dart.apex, towards: direction(dart.apex, foot) };
}

function drillHoles(piece: Piece): DrillHole[] {
  return dartsOf(piece).map((dart, i) => {
    const mouth = lerp(startOf(dart.sideLeg.curve), endOf(dart.centreLeg.curve), 0.5);
    const at = along(dart.apex, direction(dart.apex, mouth), SHORT_OF_APEX_MM);
    return { name: `dart ${i + 1}`, at, diameterMm: DRILL_MM };
  });
}

function drawnLines(piece: Piece): CutPieceLine[] {
  return piece.lines.filter(({ role }) => role !== 'grain').map(({ role, curves }) => ({ role, curves }));
}

/** The arrow takes this part of the piece along its grain. */
const GRAIN_FROM = 0.14;
const GRAIN_TO = 0.52;

function grainArrow(piece: Piece): readonly [Point, Point] {
  const own = piece.lines.find(({ role }) => role === 'grain')?.curves;
  if (own !== undefined && own.length > 0) return [startOf(own[0]), endOf(own[own.length - 1])];
  const towards = grainDirection(piece);
  const ys = outlineOf(piece)
    .flatMap((curve) => crossingsWithLine(curve, { x: 0, y: 0 }, towards).map((t) => pointAt(curve, t).y))
    .sort((a, b) => a - b);
  const [low, high] = ys.length < 2 ? extentY(piece) : [ys[0], ys[ys.length - 1]];
  const at = (share: number): Point => ({ x: 0, y: low + share * (high - low) });
  return [at(GRAIN_FROM), at(GRAIN_TO)];
}

function extentY(piece: Piece): [number, number] {
  const ys = outlineOf(piece).map((curve) => startOf(curve).y);
  return [Math.min(...ys), Math.max(...ys)];
}

function ringFindings(
  piece: Piece,
  edgeRuns: readonly EdgeRun[],
  joints: readonly RunJoint[],
  ring: CutRing,
): Finding[] {
  const untreated = joints.flatMap((joint, i): Finding[] => {
    if ('apex' in joint || ring.treatments[i] !== 'mitre' || joint.treatment === 'mitre') return [];
    const at = runEnd(edgeRuns[i].run);
    const seams = `${edgeRuns[i].run.seam} and ${edgeRuns[(i + 1) % edgeRuns.length].run.seam}`;
    return [
      {
        code: 'CORNER_NOT_TREATED',
        level: 'warning',
        message: `The allowances of ${seams} of the ${piece.role} have no room for a ${joint.treatment} end; they are mitred.`,
        action: 'Trim them by hand after joining, or make the allowances narrower.',
        place: { piece: piece.role, part: edgeRuns[i].run.seam, at },
      },
    ];
  });
  if (!ring.looped) return untreated;
  return [
    ...untreated,
    {
      code: 'ALLOWANCE_OVER_BEND',
      level: 'warning',
      message: `The ${piece.role} bends more tightly than its allowance is wide: the cut line is shorter there than the seam.`,
      action: 'Clip the allowance to the seam before turning it, or make it narrower.',
      place: { piece: piece.role },
    },
  ];
}
