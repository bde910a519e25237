import { distance, line, opposite, type Curve, type Point, DEG } from '#geometry';
import type { CheckContent, CheckContentPiece, CheckContentSeam, RuledRow } from '#sheets';
import type { CheckState } from '#truing';
import type { ForeignLine, ForeignPiece } from '#interchange';
import type { CheckedPattern } from './check-pattern.js';
import type { CheckFinding, CheckReport, PieceKind } from './check-report.js';
import {
  correctedOf,
  drawnPieces,
  easesOf,
  identityOf,
  isUnitUnknown,
  nameOf,
  noticeOf,
  verdictOf,
  type CheckSheetFacts,
} from './check-sheet-facts.js';
import { walked } from './leg-notches.js';
import type { Leg } from './leg-block.js';

/** A checked pattern as its sheet is drawn from, with what is known of it beside. */
export function checkContent(checked: CheckedPattern, facts: CheckSheetFacts): CheckContent {
  const { report } = checked;
  const pieces = drawnPieces(checked);
  const { engine, before, ruled } = facts;
  const ids = pieceIds(pieces);
  const notice = noticeOf(checked);
  const rowRule = rowRules(report, ruled);
  const seams = seamsOf(checked, rowRule);
  return {
    name: nameOf(checked, facts),
    verdict: verdictOf(checked, facts),
    sewable: report.sewable,
    facts: factsOf(checked),
    identity: identityOf(checked, facts),
    ...(notice === undefined ? {} : { notice }),
    isScaled: !isUnitUnknown(checked),
    pieces: pieces.map((piece, i) => drawnPiece(piece, ids[i], checked)),
    seams,
    corners: report.corners.map(({ at, sum, target, state }) => ({
      name: CORNER_WORDS[at],
      ...wasDeg(before, at),
      sumDeg: sum,
      targetDeg: target,
      state,
      ...rowRule(({ sumDeg, targetDeg }) => sumDeg === sum && targetDeg === target),
    })),
    lines: report.lines.map(({ line: name, seam, frontFromHemMm, backFromHemMm, state }) => ({
      name: `${name} at the ${seam}`,
      frontMm: frontFromHemMm,
      backMm: backFromHemMm,
      state,
      ...rowRule((of) => of['frontFromHemMm'] === frontFromHemMm && of['backFromHemMm'] === backFromHemMm),
    })),
    eases: easesOf(report),
    ...(before === undefined
      ? {}
      : {
          corrected: correctedOf(
            report.moved,
            seamsOf({ ...checked, report: before }, () => ({})),
            seams,
          ),
        }),
    findings: report.findings.map(({ number, code, level, message, action, place, correction }) => {
      const piece = pieceOf(place, pieces);
      const rule = ruled?.get(number);
      return {
        number,
        finding: { code, level, message, action },
        ...(piece === undefined ? {} : { piece: ids[piece] }),
        ...(place.at === undefined ? {} : { at: place.at }),
        ...(rule === undefined ? {} : { ruled: rule }),
        ...(correction === null ? {} : { correction }),
      };
    }),
    engine,
  };
}

function wasDeg(
  before: CheckReport | undefined,
  corner: keyof typeof CORNER_WORDS,
): { readonly wasDeg?: number } {
  const was = before?.corners.find(({ at }) => at === corner);
  return was === undefined ? {} : { wasDeg: was.sum };
}

/** Blocks of a file may share a name; each piece is drawn in a place of its own. */
function pieceIds(pieces: readonly ForeignPiece[]): string[] {
  return pieces.map(({ block }, i) => {
    const before = pieces.slice(0, i).filter((piece) => piece.block === block).length;
    return before === 0 ? block : `${block}\n${before + 1}`;
  });
}

/** Of pieces whose blocks share a name, the one whose lines of the file the finding names, else the one nearest to its point. */
function pieceOf(
  { piece, line, at }: CheckFinding['place'],
  pieces: readonly ForeignPiece[],
): number | undefined {
  const named = pieces.flatMap(({ block }, i) => (block === piece ? [i] : []));
  if (named.length < 2) return named.at(0);
  if (line !== undefined) return named.filter((i) => pieces[i].line <= line).at(-1) ?? named[0];
  if (at === undefined) return named[0];
  const apart = named.map((i) => Math.min(...(pieces[i].boundary?.points ?? []).map((p) => distance(p, at))));
  return named[apart.indexOf(Math.min(...apart))];
}

type RowRule = (isOf: (numbers: CheckFinding['numbers']) => boolean) => Pick<RuledRow, 'ruled'>;

/** What the rules made of the finding that says a check is off; it is known by its numbers. */
function rowRules({ findings }: CheckReport, ruled: CheckSheetFacts['ruled']): RowRule {
  return (isOf) => {
    const finding = findings.find(({ number, numbers }) => ruled?.has(number) === true && isOf(numbers));
    const rule = finding === undefined ? undefined : ruled?.get(finding.number);
    if (finding === undefined || rule === undefined) return {};
    return { ruled: rule.by === 'ignored' ? 'ignored' : finding.level };
  };
}

const CORNER_WORDS = {
  fork: 'Fork',
  sideWaist: 'Side waist',
  sideHem: 'Hem at the outseam',
  inseamHem: 'Hem at the inseam',
  centreFrontWaist: 'Centre front waist',
  centreBackWaist: 'Centre back waist',
} as const;

function drawnPiece(piece: ForeignPiece, id: string, checked: CheckedPattern): CheckContentPiece {
  const kind = checked.kinds.find(({ outline }) => outline.piece === piece);
  return {
    id,
    name: piece.name,
    detail: isUnitUnknown(checked) ? 'not measured' : detailOf(piece, kind?.kind),
    cut: piece.boundary === undefined ? [] : chords(piece.boundary),
    seams:
      kind === undefined
        ? []
        : kind.leg === undefined
          ? [{ curves: kind.outline.curves.map(({ curve }) => curve), state: 'ok' }]
          : legSeams(kind.leg, checked),
    lines: piece.internalLines.flatMap(chords),
    notches: piece.notches.map(({ at, angleDeg, depthMm }) => ({
      at,
      depthMm,
      inwards:
        angleDeg === undefined
          ? opposite({ x: 0, y: 1 })
          : { x: Math.cos(angleDeg * DEG), y: Math.sin(angleDeg * DEG) },
    })),
    holes: piece.drillHoles.map(({ at }) => at),
    grain: piece.grain,
  };
}

function factsOf(checked: CheckedPattern): string {
  const { file } = checked.report;
  const pieces = drawnPieces(checked);
  if (pieces.length === 0) return 'No pieces';
  const units = file.units === null ? 'Unit unknown' : `File in ${UNIT_WORDS[file.units]}`;
  const size = file.size === null ? [] : [`size ${file.size}`];
  const count = `${pieces.length} ${pieces.length === 1 ? 'piece' : 'pieces'}`;
  return [units, ...size, count].join('; ');
}

const UNIT_WORDS = { metric: 'millimetres', english: 'inches', cm: 'centimetres' } as const;

/** "as back, cut 1, 1 mirrored": what the reader took the piece for can be seen to be right. */
function detailOf({ quantity }: ForeignPiece, kind: PieceKind | undefined): string {
  const taken = kind === undefined ? 'not read' : kind === 'other' ? 'by itself' : `as ${kind}`;
  if (quantity === undefined) return taken;
  const { asDrawn, mirrored } = quantity;
  return `${taken}, cut ${asDrawn}${mirrored > 0 ? `, ${mirrored} mirrored` : ''}`;
}

function chords({ points, closed }: ForeignLine): Curve[] {
  const plain = points.map(({ x, y }): Point => ({ x, y }));
  return [
    ...plain.slice(1).map((p, i) => line(plain[i], p)),
    ...(closed && plain.length > 2 ? [line(plain[plain.length - 1], plain[0])] : []),
  ];
}

/** The curves of a leg by seam, each in the state of its check. */
function legSeams({ reading, roles, role }: Leg, { report }: CheckedPattern): CheckContentPiece['seams'] {
  const stateOf = (name: string): CheckState => {
    const seam = name === 'rise' ? (role === 'front' ? 'centre-front' : 'centre-back') : name;
    const states = report.seams
      .filter((check) => check.seam === seam && (seam !== 'dart' || check.first.piece === role))
      .map(({ state }) => state);
    return states.includes('off') ? 'off' : 'ok';
  };
  return [...new Set(roles)].map((name) => ({
    curves: reading.source
      .filter((_, i) => roles[i] === name)
      .map((place) => reading.outline.curves[place].curve),
    state: stateOf(name),
  }));
}

function seamsOf({ report, trouser }: CheckedPattern, rowRule: RowRule): CheckContentSeam[] {
  const notchesMm = (leg: Leg | undefined, seam: string): number[] =>
    leg === undefined || (seam !== 'inseam' && seam !== 'outseam')
      ? []
      : walked(leg, seam).map(({ fromHemMm }) => fromHemMm);
  const own = report.seams
    .filter(({ seam }) => seam !== 'centre-front' && seam !== 'centre-back')
    .map(({ seam, first, second, allowed, state }): CheckContentSeam => {
      const sides = [
        {
          name: seam === 'dart' ? 'side leg' : seam === 'waist' ? 'waist seam' : first.piece,
          lengthMm: first.lengthMm,
          notchesMm: notchesMm(trouser?.front, seam),
        },
        {
          name: seam === 'dart' ? 'centre leg' : second.piece,
          lengthMm: second.lengthMm,
          notchesMm: notchesMm(trouser?.back, seam),
        },
      ];
      // What a waist is longer than its band is what has to be eased in: there the band comes first.
      const [one, other] = seam === 'waist' ? [sides[1], sides[0]] : sides;
      return {
        name: seam === 'dart' ? `${first.piece} ${first.part.replace(', side leg', '')}` : seam,
        first: one,
        second: other,
        allowed,
        state,
        ...rowRule((of) => of['firstMm'] === first.lengthMm && of['secondMm'] === second.lengthMm),
      };
    });
  const stated = report.stated.map(
    ({ name, firstPiece, secondPiece, firstMm, secondMm, easeMm, allowed, state }): CheckContentSeam => ({
      name,
      first: { name: firstPiece, lengthMm: firstMm, notchesMm: [] },
      second: { name: secondPiece, lengthMm: secondMm, notchesMm: [] },
      allowed: { min: easeMm - allowed, max: easeMm + allowed },
      state,
      ...rowRule((of) => of['firstMm'] === firstMm && of['secondMm'] === secondMm),
    }),
  );
  return [...own, ...stated];
}
