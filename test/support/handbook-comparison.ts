import { draftBlock } from '#drafting';
import { easeFor, type EaseOverrides } from '#fit';
import { completeMeasures, type Body } from '#measurements';
import { cornersOf, dartsOf, landmarksOf, seamAtLevel, type Block, type Piece } from '#pattern';
import { HANDBOOK_BLOCK_SIZE_12 } from '../fixtures/handbook-block-size-12.js';
import { americanPeriodDraft, vincentDraft, type PeriodDraft } from '../fixtures/period-trouser-rules.js';
import { chordLengthMm } from './chords.js';

/** One figure of a printed rule beside ours. */
export interface ComparedRow {
  readonly figure: string;
  readonly unit: 'mm' | 'degrees';
  readonly printed: number;
  readonly ours: number;
  /** Why they differ; needed where they do by more than 5 mm, or by more than 1 degree. */
  readonly why: string;
}

export interface Comparison {
  readonly title: string;
  readonly source: string;
  readonly body: string;
  readonly rows: readonly ComparedRow[];
}

/** Crotch length of a figure from its rise and hip, women and men; from memory, no source. */
const CROTCH_OF_HIP = { female: 0.17, male: 0.155 } as const;

export function comparisons(): Comparison[] {
  return [withHandbook(), withAmerican(americanPeriodDraft()), withVincent(vincentDraft())];
}

function ours(body: Body, overrides: EaseOverrides): Block {
  const ease = easeFor('regular', body.insideLegTaken, overrides);
  const result = draftBlock(completeMeasures(body).measures, ease, 0.001);
  if (result.state === 'refused') throw new Error(JSON.stringify(result.findings));
  return result.block;
}

interface Figures {
  readonly hipMm: number;
  readonly forkMm: number;
  readonly waistMm: number;
  readonly dartsMm: number;
  readonly angleDeg: number;
  readonly raiseMm: number;
  readonly forkLevelMm: number;
}

/** Read off the outline: hip width, fork beyond the centre at the hip, net waist, darts, lean and raise of the centre. */
function figuresOf(piece: Piece, hipMm: number, centreHipX?: number): Figures {
  const { centreWaist, sideWaist, fork } = cornersOf(piece);
  const centreX = centreHipX ?? seamAtLevel(piece, 'rise', hipMm)?.point.x ?? 0;
  const sideX = seamAtLevel(piece, 'outseam', hipMm)?.point.x ?? 0;
  const straight = piece.edges[0].curve;
  const [from, to] = [straight.p0, straight.kind === 'line' ? straight.p1 : straight.p3];
  return {
    hipMm: centreX - sideX,
    forkMm: fork.x - centreX,
    waistMm: chordLengthMm(piece.edges.filter(({ role }) => role === 'waist').map(({ curve }) => curve)),
    dartsMm: dartsOf(piece).reduce((mm, { sideLeg, centreLeg }) => {
      const [a, b] = [
        sideLeg.curve.p0,
        centreLeg.curve.kind === 'line' ? centreLeg.curve.p1 : centreLeg.curve.p3,
      ];
      return mm + Math.hypot(b.x - a.x, b.y - a.y);
    }, 0),
    angleDeg: (Math.atan2(to.x - from.x, from.y - to.y) * 180) / Math.PI,
    raiseMm: centreWaist.y - sideWaist.y,
    forkLevelMm: fork.y,
  };
}

function row(
  figure: string,
  printed: number,
  mine: number,
  why = '',
  unit: ComparedRow['unit'] = 'mm',
): ComparedRow {
  return { figure, unit, printed, ours: mine, why };
}

function withHandbook(): Comparison {
  const printed = HANDBOOK_BLOCK_SIZE_12;
  // The handbook gives no crotch length: that of its own curves, less our ease, so that both have the same seam.
  const seams = [printed.front, printed.back].map((piece) =>
    chordLengthMm(piece.edges.filter(({ role }) => role === 'rise').map(({ curve }) => curve)),
  );
  const body: Body = {
    ref: 'size-12',
    sex: 'female',
    insideLegTaken: 'taped',
    measures: {
      waistGirth: 680,
      hipGirth: 940,
      waistHeight: 1040,
      hipHeight: 834,
      // The handbook draws the crotch line at the body rise; ours hangs 15 mm under the inside leg.
      insideLegLength: 760 + 15,
      totalCrotchLength: seams[0] + seams[1] - 20,
      backCrotchLength: seams[1] - 15,
    },
  };
  const block = ours(body, { waist: 10, hip: 40, knee: 0 });
  const hipMm = printed.levels.hip;
  // 6 and 17: the verticals that the handbook measures hips and forks from.
  const [six, seventeen] = [940 / 12 + 15, (940 / 12 + 15) * 0.75];
  const [pf, pb] = [figuresOf(printed.front, hipMm, six), figuresOf(printed.back, hipMm, seventeen)];
  const [of, ob] = [figuresOf(block.front, block.levels.hip), figuresOf(block.back, block.levels.hip)];
  return {
    title: 'The metric handbook block, size 12',
    source:
      'W. Aldrich, Metric Pattern Cutting, the basic trouser block, as reprinted in a textbook of clothing English; the measures of size 12 are from memory',
    body: 'waist 680, hip 940, waist height 1040, hip height 834; waist ease 10 and hip ease 40, as the handbook has them; crotch line at 760 and crotch length as the handbook’s curves have them; knee height estimated by us',
    rows: handbookRows(printed, block, { pf, pb, of, ob }, completeMeasures(body).measures.thighGirth),
  };
}

function handbookRows(
  printed: Block,
  block: Block,
  { pf, pb, of, ob }: Readonly<Record<'pf' | 'pb' | 'of' | 'ob', Figures>>,
  thighMm: number,
): ComparedRow[] {
  return [
    row(
      'hip width, front',
      pf.hipMm,
      of.hipMm,
      'Quarter of the hip and ease less 10 here; hip/4 + 5 in the handbook, so 10 of 40 mm ease lie in the front against 0.',
    ),
    row('hip width, back', pb.hipMm, ob.hipMm, 'The other side of the same split.'),
    row(
      'front fork beyond the centre at the hip',
      pf.forkMm,
      of.forkMm,
      'hip/16 + 5 there. Ours is what thigh girth and crotch length leave: of a sum that the thigh fixes, the front gets what its part of the crotch length asks for.',
    ),
    row(
      'back fork beyond the centre at the hip',
      pb.forkMm,
      ob.forkMm,
      'The handbook adds half of the front fork and steps the centre back in by a quarter of 1-5; ours is what thigh and back crotch length ask for.',
    ),
    row(
      'both forks',
      pf.forkMm + pb.forkMm,
      of.forkMm + ob.forkMm,
      `The handbook’s 0.19 of the hip makes a leg of 670 at the fork whatever the thigh is; ours takes the thigh, estimated here as ${Math.round(thighMm)}, and 80 mm.`,
    ),
    row(
      'back fork below the front fork',
      pf.forkLevelMm - pb.forkLevelMm,
      of.forkLevelMm - ob.forkLevelMm,
      'A fixed 5 there; ours makes the back inseam as long as the front’s, which a longer back fork makes deeper.',
    ),
    row(
      'knee height',
      printed.levels.knee,
      block.levels.knee,
      'Half the inside leg and 50 mm up is a proportion; ours is the middle of the kneecap, by regression on five measures (ANSUR II).',
    ),
    row(
      'seat angle',
      pb.angleDeg,
      ob.angleDeg,
      'A fixed 20 mm in over the 160 mm above point 19; ours takes its share of the difference of hip and waist.',
      'degrees',
    ),
    row(
      'centre back above the side',
      pb.raiseMm,
      ob.raiseMm,
      'A fixed 20 there; ours is what the back crotch length leaves after fork and seat angle.',
    ),
    row(
      'centre front above the side',
      pf.raiseMm,
      of.raiseMm,
      'Level there; ours is what the front crotch length leaves.',
    ),
    row(
      'front waist, darts closed',
      pf.waistMm,
      of.waistMm,
      'The same quarter there for front and back; ours may move up to 30 mm a side to keep darts and side seams ordinary.',
    ),
    row('back waist, darts closed', pb.waistMm, ob.waistMm, 'The other side of the same move.'),
    row(
      'front darts',
      pf.dartsMm,
      of.dartsMm,
      'One of 20 mm whatever the figure; ours shares the difference of hip and waist over centre, side and darts.',
    ),
    row('back darts', pb.dartsMm, ob.dartsMm, 'Two of 20 mm there; as for the front.'),
  ];
}

function periodBody({ body: { waist, seat, leg, rise } }: PeriodDraft, ref: string): Body {
  return {
    ref,
    sex: 'male',
    insideLegTaken: 'taped',
    measures: {
      waistGirth: waist,
      hipGirth: seat,
      // The printed fork line lies at the leg measure; ours hangs 15 mm under the inside leg.
      insideLegLength: leg + 15,
      waistHeight: leg + rise,
      totalCrotchLength: 2 * rise + CROTCH_OF_HIP.male * seat,
    },
  };
}

function withAmerican(draft: PeriodDraft): Comparison {
  const block = ours(periodBody(draft, 'period-us'), {});
  const { front, back, levels } = block;
  const [of, ob] = [figuresOf(front, levels.hip), figuresOf(back, levels.hip)];
  const marks = landmarksOf(front, levels);
  return {
    title: 'A period draft of the United States',
    source: draft.source,
    body: 'waist 34, seat 40, inseam 32, rise 9 1/2 in; regular ease; crotch length from rise and seat by a rule from memory',
    rows: [
      row(
        'knee line below the fork',
        draft.kneeBelowForkMm,
        levels.crotch - levels.knee,
        'Half the inseam less 2 in is a proportion; ours is the kneecap, by regression on five measures.',
      ),
      row('front knee, inseam to crease less crease to outseam', 0, marks.kneeInseam.x + marks.kneeOutseam.x),
      row('front hem, inseam to crease less crease to outseam', 0, marks.hemInseam.x + marks.hemOutseam.x),
      row(
        'knee from the crease, mean of front and back',
        draft.kneeHalfMm ?? 0,
        meanHalf(block, 'knee'),
        'The printed leg is ordered at 20 in; ours is the calf or knee, estimated, and 70 mm.',
      ),
      row(
        'hem from the crease, mean of front and back',
        draft.hemHalfMm ?? 0,
        meanHalf(block, 'hem'),
        'The printed bottom is ordered at 15 1/2 in; ours is 0.86 of the knee, or the heel and 30 mm.',
      ),
      row(
        'front waist with its dart',
        draft.frontWaistMm ?? 0,
        of.waistMm + of.dartsMm,
        'A quarter of the waist there, with neither ease nor dart; ours has a quarter of 15 mm ease, and the dart that is counted in.',
      ),
      row(
        'back fork beyond the centre at the hip',
        draft.backForkMm ?? 0,
        ob.forkMm,
        'A twelfth of the seat is stepped out from a line that the scan does not show clearly, so that part of the extension may lie in the seat line; ours is all of it.',
      ),
    ],
  };
}

function withVincent(draft: PeriodDraft): Comparison {
  const { seatEaseMm = 0, waistEaseMm = 0 } = draft;
  const block = ours(periodBody(draft, 'vincent'), { hip: seatEaseMm, waist: waistEaseMm });
  const { front, back, levels } = block;
  const [of, ob] = [figuresOf(front, levels.hip), figuresOf(back, levels.hip)];
  return {
    title: 'Vincent, about 1898',
    source: draft.source,
    body: 'side 44, leg 32, waist 30, seat 36 in; seat ease 2 and waist ease 1 in, as for his military trousers; crotch length from rise and seat by a rule from memory',
    rows: [
      row(
        'knee line below the fork',
        draft.kneeBelowForkMm,
        levels.crotch - levels.knee,
        'Half the leg less 2 in is a proportion; ours is the kneecap, by regression on five measures.',
      ),
      row('hip, whole trouser', draft.body.seat + seatEaseMm, 2 * (of.hipMm + ob.hipMm)),
      row('waist, whole trouser', draft.body.waist + waistEaseMm, 2 * (of.waistMm + ob.waistMm)),
      row(
        'back fork beyond the centre at the hip',
        draft.backForkMm ?? 0,
        ob.forkMm,
        'An eighth of the seat there; ours is what thigh and crotch length ask for.',
      ),
      row(
        'centre back above centre front',
        draft.centreBackAboveFrontMm ?? 0,
        cornersOf(back).centreWaist.y - cornersOf(front).centreWaist.y,
        'His underside goes on above the waist, for braces (common practice, no source); ours ends at the waist.',
      ),
    ],
  };
}

function meanHalf({ front, back, levels }: Block, at: 'knee' | 'hem'): number {
  const halves = [front, back].map((piece) => {
    const marks = landmarksOf(piece, levels);
    return at === 'knee' ? marks.kneeInseam.x - marks.kneeOutseam.x : marks.hemInseam.x - marks.hemOutseam.x;
  });
  return (halves[0] + halves[1]) / 4;
}

/** The tables as they stand on the page. */
export function comparisonTables(all: readonly Comparison[]): string {
  return all
    .map(({ title, source, body, rows }) =>
      [
        `## ${title}`,
        '',
        `Source: ${source}.`,
        '',
        `Drafted by us for the same figure: ${body}.`,
        '',
        '| | printed | ours | difference | why |',
        '|---|---|---|---|---|',
        ...rows.map(({ figure, unit, printed, ours: mine, why }) => {
          const sign = unit === 'degrees' ? '°' : '';
          const by = mine - printed;
          const shown = matters({ unit, printed, ours: mine }) ? why : '';
          return `| ${figure} | ${said(printed)}${sign} | ${said(mine)}${sign} | ${by > 0.05 ? '+' : ''}${said(by)}${sign} | ${shown} |`;
        }),
        '',
      ].join('\n'),
    )
    .join('\n');
}

/** A difference that has to be explained. */
export function matters({
  unit,
  printed,
  ours: mine,
}: Pick<ComparedRow, 'unit' | 'printed' | 'ours'>): boolean {
  return Math.abs(mine - printed) > (unit === 'degrees' ? 1 : 5);
}

function said(value: number): string {
  const text = value.toFixed(1);
  return text === '-0.0' ? '0.0' : text.replace('-', '−');
}
