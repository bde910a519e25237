import { polygonArea } from '#geometry';
import { readDxf, type DxfReading, type ForeignLine, type ForeignPiece } from '#interchange';
import { distance } from '#geometry';
import type { AppliedFix } from '#truing';
import { checkAllowance, checkSewnAllowances, partsInFile } from './allowance-checks.js';
import { noWaistband } from './band-checks.js';
import { withinEffort } from './check-effort.js';
import {
  ASTM,
  CHOICE,
  PRACTICE,
  type CheckFinding,
  type CheckReport,
  type CheckedPieceRole,
  type Found,
} from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { basisOf } from './finding-basis.js';
import { CORRECTION_CODES } from './finding-codes.js';
import { checkTrouser, type TrouserReading } from './leg-checks.js';
import type { Leg } from './leg-block.js';
import { checkDirections, checkPairs } from './pair-checks.js';
import { readGradeRules } from './grade-rules.js';
import { piecesToJudge } from './judged-size.js';
import { readKinds, unknownKinds, type KindReading } from './piece-kinds.js';
import { checkCrease, checkMarks } from './piece-mark-checks.js';
import { checkKinks, checkOutlines } from './piece-outline-checks.js';
import { seamOutline, type SeamOutline } from './seam-outline.js';
import { checkStatedSeams } from './stated-seams.js';
import { checkScale, unitsFromFile, withoutLengths } from './unit-checks.js';

/** A report with what it was made from: what a drawing and a correction need besides. */
export interface CheckedPattern {
  readonly report: CheckReport;
  /** Where the file does not say its unit, its shapes in the unit it has. */
  readonly pieces: readonly ForeignPiece[];
  readonly kinds: readonly KindReading[];
  readonly trouser: { readonly front: Leg; readonly back: Leg; readonly reading: TrouserReading } | undefined;
}

/**
 * Will a pattern that somebody else drew sew together?
 *
 * Shape     `text` is an ASCII DXF by ASTM D6673 or AAMA. The report holds every check with its numbers, findings
 *           numbered stops first, and the corrections that truing offers. One size is judged.
 * Units     millimetres and degrees; places in the frame of each piece as the file has it.
 * Accuracy  lengths within `settings.truing.lengthToleranceMm` of the curves through the file's points, which lie within
 *           `settings.curveMm` of them.
 * Edges     whatever is wrong with the file is a finding with its line; nothing throws for what a file holds. What is
 *           not clear is asked (`ROLE_ASKED`, `UNITS_MISSING`), and the checks that need no answer are made all the same.
 * Cost      about 0.1 s for a trouser of seven pieces, bounded by the limits of the reader.
 *
 * `agreed` is ease that was given to a seam by a correction: it moves nothing, so the file does not show it.
 */
export function checkPattern(
  text: string,
  settings: CheckSettings,
  agreed: readonly AppliedFix[] = [],
): CheckedPattern {
  const reading = readDxf(text, settings.units === undefined ? {} : { units: settings.units });
  return judgedPattern(reading, settings, agreed);
}

function judgedPattern(
  reading: DxfReading,
  settings: CheckSettings,
  agreed: readonly AppliedFix[],
): CheckedPattern {
  const said = reading.problems.map(problemFound);
  const { pattern } = reading;
  if (pattern === undefined || pattern.pieces.length === 0)
    return {
      report: reportOf(reading, undefined, [], undefined, said, [], settings),
      pieces: reading.unscaled,
      kinds: [],
      trouser: undefined,
    };
  const grading = readGradeRules(pattern, settings.gradeRules);
  const { pieces: ofSize, size, found: sizeFound, isMade } = piecesToJudge(pattern, grading, settings);
  const doubted = checkScale(ofSize, pattern, settings);
  const { judged: pieces, found: dense } = withinEffort(ofSize);
  const outlines = pieces.flatMap((piece) => seamOutline(piece, settings.curveMm) ?? []);
  const { kinds, found: kindFound } = readKinds(outlines, settings);
  const isDoubted = doubted.length > 0;
  const compared = isDoubted ? NOT_COMPARED : trouserOf(kinds, settings, agreed);
  const trouser = isMade ? uncorrected(compared) : compared;
  const stated = isDoubted ? { checks: [], found: [] } : checkStatedSeams(outlines, settings);
  const all = [
    ...said,
    ...grading.found,
    ...sizeFound,
    ...unitsFromFile(pattern, settings),
    ...doubted,
    ...unknownKinds(pattern.pieces, settings),
    ...dense,
    ...kindFound,
    ...pieces.flatMap((piece) => checkOutlines(piece, settings).slice(0, FINDINGS_MAX + 1)),
    ...pieces.flatMap((piece) => checkMarks(piece, kindOf(kinds, piece), settings)),
    ...checkDirections(pieces),
    ...checkPairs(
      pieces.map((piece) => ({ piece, kind: kindOf(kinds, piece) })),
      settings,
    ),
    ...kinds.flatMap(({ outline, leg }) => (leg === undefined ? [] : kinksOf(outline, leg, settings))),
    ...kinds.flatMap(({ outline, leg }) => checkAllowance(outline, leg, settings)),
    ...kinds.flatMap(({ outline, leg }) => checkCrease(outline.piece, creaseOf(leg), settings)),
    ...noSewLines(outlines),
    ...trouser.found,
    ...stated.found,
  ];
  const found = isDoubted ? withoutLengths(all) : all;
  const named = isDoubted ? [] : kinds;
  const report = reportOf(reading, size, named, trouser.reading, found, stated.checks, settings);
  const both =
    trouser.reading === undefined || trouser.front === undefined || trouser.back === undefined
      ? undefined
      : { front: trouser.front, back: trouser.back, reading: trouser.reading };
  return { report, pieces: ofSize, kinds, trouser: both };
}

function kindOf(kinds: readonly KindReading[], piece: ForeignPiece): KindReading['kind'] {
  return kinds.find(({ outline }) => outline.piece === piece)?.kind ?? 'other';
}

function kinksOf(outline: SeamOutline, leg: Leg, settings: CheckSettings): Found[] {
  const parts = partsInFile(leg);
  return checkKinks(outline, (curve) => parts[curve] === 'dart', settings);
}

function creaseOf(leg: Leg | undefined): ForeignLine | undefined {
  return leg?.lines.find(({ role }) => role === 'crease')?.line;
}

function problemFound({
  code,
  line,
  message,
  action,
  found,
  allowed,
}: DxfReading['problems'][number]): Found {
  return {
    code,
    level: 'stop',
    message,
    action: `${action} Found: ${found}; allowed: ${allowed}.`,
    place: line === 0 ? {} : { line },
    basis: ASTM,
  };
}

function noSewLines(outlines: readonly SeamOutline[]): Found[] {
  const without = outlines.filter(({ basis, isSeamOpen }) => basis === 'cut line' && !isSeamOpen);
  if (without.length === 0) return [];
  return [
    {
      code: 'NO_SEW_LINE',
      level: 'info',
      message: `${
        without.length === outlines.length
          ? 'No piece has'
          : `${without
              .map(({ piece }) => piece.name)
              .slice(0, 6)
              .join(', ')} ${without.length === 1 ? 'has' : 'have'} no`
      } sew line: the cut line was judged as the seam.`,
      action: 'Draw the seams on layer 14, or send the pattern without allowances.',
      place: { piece: without[0].piece.block },
      basis: ASTM,
    },
  ];
}

interface Trouser {
  readonly front: Leg | undefined;
  readonly back: Leg | undefined;
  readonly reading: TrouserReading | undefined;
  readonly found: readonly Found[];
}

/** A size that rules have made stands in no file: its rules are to be corrected, not its points. */
function uncorrected(trouser: Trouser): Trouser {
  const { reading } = trouser;
  if (reading === undefined) return trouser;
  const codes = new Set<string>(CORRECTION_CODES);
  const found = trouser.found
    .filter(({ code }) => code !== 'CORRECTION_NOT_DRAWN')
    .map((each) =>
      codes.has(each.code)
        ? { ...each, action: 'Correct the grade rules of the points that make it, or the sample size.' }
        : each,
    );
  const seams = reading.truing.seams.map((check) => ({ ...check, fix: null }));
  return {
    ...trouser,
    found,
    reading: { ...reading, corrections: [], plans: [], truing: { ...reading.truing, seams } },
  };
}

const NOT_COMPARED: Trouser = { front: undefined, back: undefined, reading: undefined, found: [] };

function trouserOf(
  kinds: readonly KindReading[],
  settings: CheckSettings,
  agreed: readonly AppliedFix[],
): Trouser {
  const front = kinds.find(({ leg }) => leg?.role === 'front')?.leg;
  const back = kinds.find(({ leg }) => leg?.role === 'back')?.leg;
  const bands = kinds.filter(({ kind }) => kind === 'waistband').map(({ outline }) => outline);
  if (front === undefined || back === undefined) {
    const open = kinds.filter(
      ({ kind, outline }) => (kind === 'front' || kind === 'back') && outline.isSeamOpen,
    );
    const asked =
      open.length > 0 ? [seamsNotCompared(open)] : kinds.length > 0 ? [legsMissing(front, back)] : [];
    return { front, back, reading: undefined, found: asked };
  }
  const hasFly = kinds.some(({ kind }) => kind === 'fly');
  const reading = checkTrouser(front, back, { bands, hasFly }, settings, agreed);
  if ('code' in reading) return { front, back, reading: undefined, found: [reading] };
  const others = kinds.filter(({ kind }) => kind === 'other').map(({ outline }) => outline);
  const found = [
    ...reading.found,
    ...(bands.length === 0 ? [noWaistband(reading.truing.waistband.seamMm, others)] : []),
    ...checkSewnAllowances(front, back, settings),
  ];
  return { front, back, reading, found };
}

function legsMissing(front: Leg | undefined, back: Leg | undefined): Found {
  const missing = [...(front === undefined ? ['front'] : []), ...(back === undefined ? ['back'] : [])].join(
    ' and ',
  );
  return {
    code: 'LEGS_MISSING',
    level: 'stop',
    message: `No ${missing} was found: seams were not compared, each piece was judged by itself.`,
    action: `Name the ${missing}, or say under "kinds" in the settings which pieces they are.`,
    place: {},
    basis: PRACTICE,
  };
}

function seamsNotCompared(open: readonly KindReading[]): Found {
  const [{ outline }] = open;
  const names = open.map(({ outline: { piece } }) => piece.name);
  return {
    code: 'SEAMS_NOT_COMPARED',
    level: 'stop',
    message: `The sew line of ${names.slice(0, 6).join(' and ')} is open, and nobody knows how it goes on: seams were not compared.`,
    action: 'Close the sew line, or take it out to have the cut line judged as the seam.',
    place: { piece: outline.piece.block, line: outline.piece.line },
    basis: PRACTICE,
  };
}

/** A person who has read so many knows that the file is to be made again. */
const FINDINGS_MAX = 300;

function moreFindings(count: number): Found {
  return {
    code: 'MORE_FINDINGS',
    level: 'info',
    message: `${count - FINDINGS_MAX} more findings are not listed.`,
    action: 'Correct those that are, and send the file again.',
    place: {},
    numbers: { count },
    basis: CHOICE,
  };
}

const SERIOUSNESS = { stop: 0, warning: 1, info: 2 } as const;

function reportOf(
  { pattern, unread }: DxfReading,
  size: string | undefined,
  kinds: readonly KindReading[],
  trouser: TrouserReading | undefined,
  found: readonly Found[],
  stated: CheckReport['stated'],
  settings: CheckSettings,
): CheckReport {
  const corrections = trouser?.corrections ?? [];
  const offered = new Set(corrections.map(({ code }) => code));
  const sorted = [...found].sort((a, b) => SERIOUSNESS[a.level] - SERIOUSNESS[b.level]);
  const findings = [
    ...sorted.slice(0, FINDINGS_MAX),
    ...(sorted.length > FINDINGS_MAX ? [moreFindings(sorted.length)] : []),
  ].map((each, i): CheckFinding => ({
    number: i + 1,
    ...each,
    place: plainPlace(each.place),
    numbers: finite(each.numbers ?? {}),
    tolerance: each.tolerance ?? null,
    basis: basisOf(each, settings),
    correction: offered.has(each.code) ? each.code : null,
  }));
  return {
    file: {
      units: pattern?.units ?? null,
      styleName: pattern?.texts['Style Name'] ?? null,
      size: size ?? null,
      sizes: pattern?.sizes ?? [],
      unread,
    },
    pieces: kinds.map(pieceRow),
    seams: trouser?.truing.seams ?? [],
    stated,
    corners: trouser?.truing.corners ?? [],
    lines: trouser?.lines ?? [],
    measures: trouser?.measures ?? {},
    findings,
    corrections,
    moved: [],
    sewable: findings.every(({ level }) => level !== 'stop'),
    judged: trouser !== undefined ? 'trouser' : kinds.length > 0 ? 'pieces only' : 'nothing',
  };
}

/** A width that a ray never meets is no number to write. */
function finite(numbers: Readonly<Record<string, number>>): Record<string, number> {
  return Object.fromEntries(Object.entries(numbers).filter(([, value]) => Number.isFinite(value)));
}

/** Points carry where in the file they stand; a report gives their place and no more. */
function plainPlace({ at, ...place }: CheckFinding['place']): CheckFinding['place'] {
  return at === undefined ? place : { ...place, at: { x: at.x, y: at.y } };
}

function pieceRow({ outline, kind, basis, confidence }: KindReading): CheckedPieceRole {
  const { piece, points, curves, removed, deviationMm } = outline;
  const ringMm = (line: ForeignLine | undefined): number =>
    line === undefined
      ? 0
      : line.points.reduce(
          (sum, p, i) => sum + distance(line.points[(i + line.points.length - 1) % line.points.length], p),
          0,
        );
  return {
    piece: piece.block,
    name: piece.name,
    size: piece.size ?? null,
    kind,
    basis,
    confidence,
    quantity: piece.quantity ?? null,
    areaMm2: Math.abs(polygonArea(piece.boundary?.points ?? [])),
    cutLineMm: ringMm(piece.boundary),
    sewLineMm: outline.basis === 'sew line' ? ringMm({ ...emptyLine, points }) : null,
    points: { given: points.length, curves: curves.length, removed },
    curveDeviationMm: deviationMm,
  };
}

const emptyLine: ForeignLine = {
  points: [],
  closed: true,
  layer: 14,
  line: 0,
  kinds: [],
  doubled: [],
  repeats: [],
};
