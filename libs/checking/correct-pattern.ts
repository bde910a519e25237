import {
  distance,
  parameterAtLength,
  pointAt,
  quadratureLength,
  splitCurve,
  turnAbout,
  way,
  type Point,
} from '#geometry';
import { type Edge, type Moved, type Piece } from '#pattern';
import { trueSeams, type AppliedFix } from '#truing';
import type { ForeignLine, ForeignPiece, ForeignPoint } from '#interchange';
import { checkPattern, type CheckedPattern } from './check-pattern.js';
import { PRACTICE, type CheckReport, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { edgeId, type Leg } from './leg-block.js';
import { toFrame } from './leg-frame.js';
import { codeOf } from './leg-checks.js';
import { footOn } from './seam-outline.js';

export interface CorrectedPattern {
  /** The file with the moved coordinates written into it, everything else as it was; undefined when nothing was done. */
  readonly text: string | undefined;
  /** Of the corrected file; of the file as it came when nothing was done. */
  readonly report: CheckReport;
  /** The same with what it was made from, for the drawing. */
  readonly checked: CheckedPattern;
}

/**
 * A pattern from outside with the corrections that were asked for, by the codes that its report offers.
 *
 * Shape     the file as it came, line by line, with other coordinates for what moved: cut line, sew line, their points
 *           and notches follow the seam they belong to, so that allowances keep their width. Balance lines, crease,
 *           holes and texts stay. The report is that of the corrected file, read again from its text.
 *           Ease that is to be spread between notches moves nothing; the report allows for it and says it under `moved`.
 * Accuracy  coordinates keep the decimals of the file, and get two at least.
 * Edges     a leg drawn with arcs or splines, or unfolded on a mirror line, cannot be moved point by point: nothing is
 *           written and CORRECTION_NOT_DRAWN says so. Codes that the report does not offer change nothing, and
 *           CORRECTION_NOT_OFFERED says so.
 */
export function correctPattern(
  text: string,
  settings: CheckSettings,
  codes: readonly string[],
): CorrectedPattern {
  const checked = checkPattern(text, settings);
  const { trouser, report } = checked;
  const offered = new Set(report.corrections.map(({ code }) => code));
  const unknown = codes.filter((code) => !offered.has(code));
  const wanted = new Set(codes.filter((code) => offered.has(code)));
  if (trouser === undefined || wanted.size === 0)
    return answer(undefined, checked, unknown.map(notOffered), []);
  const { block } = trouser.reading;
  const trued = trueSeams(
    block,
    settings.truing,
    (check) => check !== 'short edges' && wanted.has(codeOf(check)),
  );
  const edits = [
    ...editsFor(trouser.front, block.front, trued.block.front),
    ...editsFor(trouser.back, block.back, trued.block.back),
  ];
  const computed = edits.find(({ point }) => point.source === undefined);
  if (computed !== undefined)
    return answer(undefined, checked, [...unknown.map(notOffered), notDrawn(computed.piece)], []);
  const corrected = withCoordinates(text, edits);
  const again = checkPattern(
    corrected,
    settings,
    trued.fixes.filter(({ fix }) => fix.kind === 'spread-ease'),
  );
  return answer(corrected, again, unknown.map(notOffered), [
    ...trued.moved,
    ...trued.fixes.flatMap(easeGiven),
  ]);
}

function answer(
  text: string | undefined,
  checked: CheckedPattern,
  found: readonly Found[],
  moved: readonly Moved[],
): CorrectedPattern {
  const report = withFindings(checked.report, found, moved);
  return { text, report, checked: { ...checked, report } };
}

/** Ease is not a move of any point; what the sewer has to do stands among the moves so that it is not lost. */
function easeGiven({ fix }: AppliedFix): Moved[] {
  if (fix.kind !== 'spread-ease') return [];
  return [
    {
      operation: 'spread ease',
      part: fix.part,
      byMm: fix.byMm,
      ...(fix.piece === null ? {} : { piece: fix.piece }),
    },
  ];
}

function withFindings(report: CheckReport, found: readonly Found[], moved: readonly Moved[]): CheckReport {
  const last = report.findings.length;
  const more = found.map((each, i) => ({
    number: last + i + 1,
    ...each,
    numbers: each.numbers ?? {},
    tolerance: null,
    correction: null,
  }));
  return { ...report, findings: [...report.findings, ...more], moved };
}

function notOffered(code: string): Found {
  return {
    code: 'CORRECTION_NOT_OFFERED',
    level: 'warning',
    message: `${code.slice(0, 40)} is no correction that this pattern needs, or none that can be made without asking.`,
    action: 'Ask for codes that the report lists under corrections.',
    place: {},
    basis: 'as the request says',
  };
}

function notDrawn({ name, block, line }: ForeignPiece): Found {
  return {
    code: 'CORRECTION_NOT_DRAWN',
    level: 'warning',
    message: `${name} is drawn with arcs, splines or as a half: its points cannot be moved one by one.`,
    action: 'Export the piece as polylines, whole, and have it corrected then.',
    place: { piece: block, line },
    basis: PRACTICE,
  };
}

interface Edit {
  readonly piece: ForeignPiece;
  readonly point: ForeignPoint;
  /** In the frame of the piece, in mm. */
  readonly by: Point;
}

/** Moves shorter than this are rounding. */
const MOVED_MM = 1e-4;

function editsFor(leg: Leg, before: Piece, after: Piece): Edit[] {
  const { outline, frame } = leg.reading;
  const { piece } = outline;
  const carried = carriedCurves(leg, before, after);
  const moves = new Map<string, Point>();
  const move = (p: Point): Point => {
    const key = `${p.x} ${p.y}`;
    const known = moves.get(key);
    if (known !== undefined) return known;
    const foot = footOn(leg.reading.curves, toFrame(frame, p));
    const by = inFile(leg, way(foot.at, carried[foot.index](foot.t)));
    moves.set(key, by);
    return by;
  };
  const lines = [
    piece.boundary,
    ...piece.sewLines,
    ...piece.validation.filter(({ layer }) => layer === 84 || layer === 87),
  ];
  const points = [
    ...lines.flatMap((line) => (line === undefined ? [] : everyPoint(line))),
    ...piece.turnPoints,
    ...piece.curvePoints,
  ];
  const onLines = new Set(
    lines.flatMap((line) => (line === undefined ? [] : everyPoint(line).map(({ x, y }) => `${x} ${y}`))),
  );
  const inner = new Set(
    piece.internalLines.flatMap((line) => everyPoint(line).map(({ x, y }) => `${x} ${y}`)),
  );
  const followers = points.filter(({ x, y }) => onLines.has(`${x} ${y}`) || !inner.has(`${x} ${y}`));
  return [
    ...followers.map((point) => ({ piece, point, by: move(point) })),
    ...notchEdits(leg, after, move),
  ].filter(({ by }) => Math.hypot(by.x, by.y) > MOVED_MM);
}

function everyPoint({ points, repeats, doubled }: ForeignLine): ForeignPoint[] {
  return [...points, ...repeats, ...doubled];
}

/** For each curve of the leg as it was: where its point at a parameter lies now. */
function carriedCurves({ reading: { curves } }: Leg, before: Piece, after: Piece): ((t: number) => Point)[] {
  return curves.map((curve, i) => {
    const now = after.edges.find(({ id }) => id === edgeId(i));
    if (now !== undefined && !isLastOfShortened(before, after, now)) return (t) => pointAt(now.curve, t);
    const run = shortenedRun(before, after, edgeId(i));
    if (run === undefined) return (t) => pointAt(now?.curve ?? curve, t);
    // Edges that truing has left out share what is left of the one before them, by their lengths.
    const lengths = run.old.map((edge) => quadratureLength(edge.curve));
    const whole = lengths.reduce((sum, mm) => sum + mm, 0);
    const at = run.old.findIndex(({ id }) => id === edgeId(i));
    const startMm = lengths.slice(0, at).reduce((sum, mm) => sum + mm, 0);
    const nowMm = quadratureLength(run.now.curve);
    return (t) => {
      const alongMm = startMm + quadratureLength(splitCurve(run.old[at].curve, t)[0]);
      return pointAt(
        run.now.curve,
        parameterAtLength(run.now.curve, Math.min(nowMm, (nowMm * alongMm) / whole), 1e-4),
      );
    };
  });
}

function isLastOfShortened(before: Piece, after: Piece, { id }: Edge): boolean {
  const next = before.edges[before.edges.findIndex((edge) => edge.id === id) + 1];
  return next !== undefined && !after.edges.some((edge) => edge.id === next.id);
}

function shortenedRun(
  before: Piece,
  after: Piece,
  id: string,
): { readonly old: Edge[]; readonly now: Edge } | undefined {
  let start = before.edges.findIndex((edge) => edge.id === id);
  while (start > 0 && !after.edges.some((edge) => edge.id === before.edges[start].id)) start -= 1;
  const now = after.edges.find((edge) => edge.id === before.edges[start]?.id);
  if (now === undefined) return undefined;
  const rest = before.edges.slice(start + 1);
  const kept = rest.findIndex((edge) => after.edges.some((other) => other.id === edge.id));
  return { old: [before.edges[start], ...rest.slice(0, kept < 0 ? rest.length : kept)], now };
}

/** Notches that truing keeps at their seam distance go where that is now; all others go with their place on the seam. */
function notchEdits(leg: Leg, after: Piece, move: (p: Point) => Point): Edit[] {
  const { outline } = leg.reading;
  const held = after.notches.map(({ edgeId: id, fromStartMm }) => {
    const edge = after.edges.find((candidate) => candidate.id === id);
    return edge === undefined
      ? undefined
      : pointAt(
          edge.curve,
          parameterAtLength(edge.curve, Math.min(fromStartMm, quadratureLength(edge.curve)), 1e-4),
        );
  });
  return leg.notches.map(({ notch, foot, role }) => {
    const isHeld = role === 'inseam' || role === 'outseam';
    const near = isHeld
      ? held.filter((at) => at !== undefined).sort((a, b) => distance(a, foot.at) - distance(b, foot.at))[0]
      : undefined;
    const by =
      near !== undefined && distance(near, foot.at) <= HELD_MM
        ? inFile(leg, way(foot.at, near))
        : move(notch.at);
    return { piece: outline.piece, point: notch.at, by };
  });
}

/** No correction moves a seam further than its ends may go. */
const HELD_MM = 12;

/** A move in the frame of a leg as one in the frame of its file. */
function inFile({ reading: { frame } }: Leg, by: Point): Point {
  const turned = { x: frame.mirrored ? -by.x : by.x, y: by.y };
  return frame.angleRad === 0 ? turned : turnAbout(turned, { x: 0, y: 0 }, -frame.angleRad);
}

const DECIMALS_MIN = 2;

/** The text with moved coordinates: only the lines that hold them change. */
function withCoordinates(text: string, edits: readonly Edit[]): string {
  const byLine = new Map<number, number>();
  for (const { point, by } of edits) {
    if (point.source === undefined) continue;
    const { xLine, yLine, toFile } = point.source;
    byLine.set(xLine, toFile[0] * by.x + toFile[1] * by.y);
    byLine.set(yLine, toFile[2] * by.x + toFile[3] * by.y);
  }
  let line = 0;
  return text.replace(/[^\r\n]*(?:\r\n|\n|\r|$)/g, (whole) => {
    line += 1;
    const by = byLine.get(line);
    if (by === undefined) return whole;
    const value = whole.replace(/[\r\n]+$/, '');
    return `${written(value, by)}${whole.slice(value.length)}`;
  });
}

function written(value: string, by: number): string {
  const decimals = Math.max(DECIMALS_MIN, /\.(\d+)/.exec(value)?.[1].length ?? 0);
  const moved = (Number(value) + by).toFixed(Math.min(decimals, 12));
  return Number(moved) === 0 ? moved.replace('-', '') : moved;
}
