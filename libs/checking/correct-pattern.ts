import { pointAt, way, type Point } from '#geometry';
import { bySeriousness, type Moved, type Piece } from '#pattern';
import { trueSeams, type AppliedFix, type TruedBlock } from '#truing';
import { checkPattern, type CheckedPattern } from './check-pattern.js';
import { PRACTICE, type CheckReport, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { edgeId, type Leg } from './leg-block.js';
import { codeOf, NOT_TRUED } from './offered-corrections.js';
import { displacement } from './leg-moves.js';
import { editsFor, withCoordinates } from './moved-points.js';
import { easeFix } from './ease-fix.js';
import type { SeamPlan } from './seam-plan.js';
import type { Foot } from './seam-outline.js';

export interface CorrectedPattern {
  /** The file with the moved coordinates written into it, everything else as it was; undefined when nothing was done. */
  readonly text: string | undefined;
  /** Of the corrected file; of the file as it came when nothing was done. */
  readonly report: CheckReport;
  /** The same with what it was made from, for the drawing. */
  readonly checked: CheckedPattern;
  /** Of the file as it came. */
  readonly before: CheckReport;
}

/**
 * A pattern from outside with the corrections that were asked for, by the codes that its report offers.
 *
 * Shape     the file as it came, line by line, with other coordinates for what moved: cut line, sew line, their points
 *           and notches follow the seam they belong to, so that allowances keep their width. Balance lines, crease,
 *           holes and texts stay. The report is that of the corrected file, read again from its text.
 *           Long seams are corrected first; darts, corners and the waist are judged on the file that comes of it.
 *           Ease that is to be spread between notches moves nothing; the report allows for it and says it under `moved`.
 * Accuracy  coordinates keep the decimals of the file, and get two at least.
 * Edges     codes that the report does not offer change nothing, and CORRECTION_NOT_OFFERED says so. A leg drawn with
 *           arcs or splines, or unfolded on a mirror line, cannot be moved point by point: its report offers nothing
 *           and says why.
 */
export function correctPattern(
  text: string,
  settings: CheckSettings,
  codes: readonly string[],
): CorrectedPattern {
  const checked = checkPattern(text, settings);
  const offered = new Set(checked.report.corrections.map(({ code }) => code));
  const unknown = codes.filter((code) => !offered.has(code)).map((code) => notOffered(code, [...offered]));
  const wanted = new Set(codes.filter((code) => offered.has(code)));
  if (checked.trouser === undefined || wanted.size === 0)
    return answer(undefined, checked, checked.report, unknown, []);
  const plans = checked.trouser.reading.plans.filter(({ seam }) => wanted.has(codeOf(seam)));
  const seams = withSeams(text, checked, settings, plans);
  const rest = withTrued(seams, settings, wanted);
  return answer(
    rest.text,
    rest.checked,
    checked.report,
    [...unknown, ...seams.eases.map((ease) => easeToSpread(ease, plans, rest.checked))],
    [...plans.flatMap(({ moved }) => moved), ...rest.moved, ...seams.eases.map(easeGiven)],
  );
}

interface WithSeams {
  readonly text: string;
  readonly checked: CheckedPattern;
  readonly eases: readonly AppliedFix[];
}

/** The long seams by their plans; what ease they need is measured on the file that was written. */
function withSeams(
  text: string,
  given: CheckedPattern,
  settings: CheckSettings,
  plans: readonly SeamPlan[],
): WithSeams {
  const { trouser } = given;
  if (trouser === undefined || plans.length === 0) return { text, checked: given, eases: [] };
  const written = withCoordinates(
    text,
    [trouser.front, trouser.back].flatMap((leg) =>
      editsFor(
        leg,
        displacement(leg, {
          ends: plans.flatMap(({ moves }) => moves[leg.role].ends),
          bows: plans.flatMap(({ moves }) => moves[leg.role].bows),
        }),
      ),
    ),
  );
  const checked = checkPattern(written, settings);
  const { seams } = checked.report;
  const eases = plans.flatMap(({ seam, easeBetween }) => {
    const off = seams.find((check) => check.seam === seam && check.state === 'off');
    return off === undefined || easeBetween === undefined
      ? []
      : [easeFix(seam, off.difference, easeBetween, settings.truing)];
  });
  return {
    text: written,
    checked: eases.length === 0 ? checked : checkPattern(written, settings, eases),
    eases,
  };
}

/** Darts, corners and the waist as truing makes them. */
function withTrued(
  { text, checked, eases }: WithSeams,
  settings: CheckSettings,
  wanted: ReadonlySet<string>,
): { readonly text: string; readonly checked: CheckedPattern; readonly moved: readonly Moved[] } {
  const { trouser } = checked;
  if (trouser === undefined) return { text, checked, moved: [] };
  const { block } = trouser.reading;
  const trued = trueSeams(
    block,
    settings.truing,
    (check) => !NOT_TRUED.includes(check) && wanted.has(codeOf(check)),
  );
  if (trued.moved.length === 0) return { text, checked, moved: [] };
  const written = withCoordinates(
    text,
    [trouser.front, trouser.back].flatMap((leg) => editsFor(leg, carried(leg, block[leg.role], trued))),
  );
  return { text: written, checked: checkPattern(written, settings, eases), moved: trued.moved };
}

/** Where each place on the curves of a leg goes when truing redraws them. */
function carried(
  { reading: { curves }, role }: Leg,
  before: Piece,
  { block }: TruedBlock,
): (foot: Foot) => Point {
  const now = curves.map((curve, i) => {
    const edges = [before, block[role]].map((piece) => piece.edges.find(({ id }) => id === edgeId(i)));
    return edges[0]?.curve === edges[1]?.curve ? undefined : (edges[1]?.curve ?? curve);
  });
  return ({ index, t, at }) => {
    const curve = now[index];
    return curve === undefined ? { x: 0, y: 0 } : way(at, pointAt(curve, t));
  };
}

function answer(
  text: string | undefined,
  checked: CheckedPattern,
  before: CheckReport,
  found: readonly Found[],
  moved: readonly Moved[],
): CorrectedPattern {
  const report = withFindings(checked.report, found, moved);
  return { text, report, checked: { ...checked, report }, before };
}

/** Ease is not a move of any point; what the sewer has to do stands among the moves so that it is not lost. */
function easeGiven({ fix }: AppliedFix): Moved {
  return {
    operation: 'spread ease',
    part: fix.part,
    byMm: fix.byMm,
    ...(fix.piece === null ? {} : { piece: fix.piece }),
  };
}

/** No line of the file shows it, so whoever reads the report has to be told. */
function easeToSpread(
  { of, fix }: AppliedFix,
  plans: readonly SeamPlan[],
  { trouser, report: { seams: checks } }: CheckedPattern,
): Found {
  const at = plans.find(({ seam }) => seam === of)?.easeAt;
  const isLonger = (checks.find(({ seam }) => seam === of)?.difference ?? 0) >= 0;
  const easeMm = isLonger ? fix.byMm : -fix.byMm;
  return {
    code: 'EASE_TO_SPREAD',
    level: 'info',
    message: fix.words,
    action: 'Tell the sewer, and write it on the pattern between these marks: no line of the file shows it.',
    place: {
      ...(trouser === undefined ? {} : { piece: trouser.back.reading.outline.piece.block }),
      part: of,
      ...(at === undefined ? {} : { at }),
    },
    numbers: { byMm: fix.byMm, easeMm },
    basis: PRACTICE,
  };
}

function withFindings(report: CheckReport, found: readonly Found[], moved: readonly Moved[]): CheckReport {
  const more = found.map((each) => ({
    ...each,
    numbers: each.numbers ?? {},
    tolerance: null,
    correction: null,
  }));
  const findings = bySeriousness([...report.findings, ...more]).map((each, i) => ({
    ...each,
    number: i + 1,
  }));
  return { ...report, findings, moved };
}

function notOffered(code: string, offered: readonly string[]): Found {
  const isNone = offered.length === 0;
  return {
    code: 'CORRECTION_NOT_OFFERED',
    level: 'warning',
    message: `${code.slice(0, 40)} is no correction that this pattern needs, or none that can be made without asking; ${isNone ? 'none is offered for it' : `offered for it: ${offered.join(', ')}`}.`,
    action: isNone ? 'Leave "correct" out.' : 'Ask for codes that are offered.',
    place: {},
    basis: 'as the request says',
  };
}
