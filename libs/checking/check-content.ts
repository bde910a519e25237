import { line, opposite, type Curve, type Point, DEG } from '#geometry';
import type { CheckContent, CheckContentPiece, CheckContentSeam } from '#sheets';
import type { CheckState } from '#truing';
import type { ForeignLine, ForeignPiece } from '#interchange';
import type { CheckedPattern } from './check-pattern.js';
import type { PieceKind } from './check-report.js';
import { walked } from './leg-notches.js';
import type { Leg } from './leg-block.js';

/** A checked pattern as its sheet is drawn from. `engine` is the name and version that stand on the sheet. */
export function checkContent(checked: CheckedPattern, engine: string): CheckContent {
  const { report, pieces } = checked;
  return {
    reference: report.file.styleName ?? 'Pattern',
    verdict: `${report.sewable ? 'Sewable' : 'Not sewable as it stands'}${report.judged === 'trouser' ? '' : ` (${report.judged === 'nothing' ? 'nothing could be judged' : 'pieces only'})`}`,
    sewable: report.sewable,
    facts: factsOf(checked),
    pieces: pieces.map((piece) => drawnPiece(piece, checked)),
    seams: seamsOf(checked),
    corners: report.corners.map(({ at, sum, target, state }) => ({
      name: CORNER_WORDS[at],
      sumDeg: sum,
      targetDeg: target,
      state,
    })),
    lines: report.lines.map(({ line: name, seam, frontFromHemMm, backFromHemMm, state }) => ({
      name: `${name} at the ${seam}`,
      frontMm: frontFromHemMm,
      backMm: backFromHemMm,
      state,
    })),
    findings: report.findings.map(({ number, code, level, message, action, place }) => ({
      number,
      finding: { code, level, message, action },
      ...(place.piece === undefined ? {} : { piece: place.piece }),
      ...(place.at === undefined ? {} : { at: place.at }),
    })),
    engine,
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

function drawnPiece(piece: ForeignPiece, checked: CheckedPattern): CheckContentPiece {
  const kind = checked.kinds.find(({ outline }) => outline.piece === piece);
  return {
    id: piece.block,
    name: piece.name,
    detail: detailOf(piece, kind?.kind),
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

function factsOf({ report: { file }, pieces }: CheckedPattern): string {
  const units = file.units === null ? 'no unit' : UNIT_WORDS[file.units];
  const size = file.size === null ? [] : [`size ${file.size}`];
  const count = `${pieces.length} ${pieces.length === 1 ? 'piece' : 'pieces'}`;
  return [`File in ${units}`, ...size, count].join('; ');
}

const UNIT_WORDS = { metric: 'millimetres', english: 'inches', cm: 'centimetres' } as const;

/** "as back, cut 1+1", as drawn and mirrored: what the reader took the piece for can be seen to be right. */
function detailOf({ quantity }: ForeignPiece, kind: PieceKind | undefined): string {
  const taken = kind === undefined ? 'not read' : kind === 'other' ? 'by itself' : `as ${kind}`;
  if (quantity === undefined) return taken;
  const { asDrawn, mirrored } = quantity;
  return `${taken}, cut ${asDrawn}+${mirrored}`;
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

function seamsOf({ report, trouser }: CheckedPattern): CheckContentSeam[] {
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
      };
    });
  const stated = report.stated.map(
    ({ name, firstMm, secondMm, easeMm, allowed, state }): CheckContentSeam => ({
      name,
      first: { name: 'first', lengthMm: firstMm, notchesMm: [] },
      second: { name: 'second', lengthMm: secondMm, notchesMm: [] },
      allowed: { min: easeMm - allowed, max: easeMm + allowed },
      state,
    }),
  );
  return [...own, ...stated];
}
