import { line } from '#geometry';
import type { Bounds } from './box.js';
import { fillMark, rectangle, strokeMark, textMark, type Mark } from './display-list.js';
import { findingListWishMm, layFindings, type FindingList } from './finding-list.js';
import { PENS, TEXT } from './pens.js';
import type { EstimateRow, ProofContent } from './proof-content.js';
import type { NumberedFinding } from './proof-finding-signs.js';
import { COLUMN } from './proof-plan.js';
import {
  addedTable,
  cornersTable,
  estimatesText,
  fitTable,
  measuresTable,
  movedTable,
  seamsTable,
} from './proof-tables.js';
import { factLines } from './fact-lines.js';
import { firstThat } from './first-that.js';
import { layHeading, layTable, linePitchMm, stack, type Laid, type Strip } from './table.js';
import { sizeThatFits, wrapText, type TextStyle, type TextWidths } from './text-widths.js';

const GAP_MM = 3.6;

/** Rows a table may have, roomy first: the findings have to be read, so the tables give way to them. */
const ROWS_MAX = [60, 18, 14, 10, 7, 5, 3, 2, 1] as const;

/** The findings get this much before any table is shortened for them. */
const FINDINGS_MM_MIN = 62;

/** Tables that come into the column where the drawing has no room for them. */
export type ColumnTable = 'fit' | 'moved';

export interface ProofColumn {
  readonly tables: readonly Mark[];
  readonly notes: readonly Mark[];
  readonly findings: FindingList;
}

/** The right-hand column: facts and verdict, tables, findings, cautions, provenance and signature. */
export function layColumn(
  content: ProofContent,
  findings: readonly NumberedFinding[],
  scale: number,
  others: readonly ColumnTable[],
  widths: TextWidths,
): ProofColumn {
  const foot = layFoot(content, widths);
  const bottom = COLUMN.bottom + foot.heightMm + GAP_MM;
  const wish = Math.min(findingListWishMm(findings, COLUMN.right - COLUMN.left, widths), FINDINGS_MM_MIN);
  const laid = firstThat(
    ROWS_MAX,
    (rowsMax) => layTables(content, scale, others, rowsMax, widths),
    (tables) => COLUMN.top - tables.heightMm - bottom >= wish,
  );
  const area: Bounds = { ...COLUMN, top: COLUMN.top - laid.heightMm, bottom };
  return { tables: laid.marks, notes: foot.marks, findings: layFindings(findings, area, widths) };
}

function layTables(
  content: ProofContent,
  scale: number,
  others: readonly ColumnTable[],
  rowsMax: number,
  widths: TextWidths,
): Laid {
  const parts: ((strip: Strip) => Laid)[] = [
    (strip) => layFacts(content, scale, strip, widths),
    (strip) => layTable(seamsTable(content.seams, rowsMax), strip, widths),
    (strip) => layTable(cornersTable(content.corners, rowsMax), strip, widths),
    ...(content.added.length === 0
      ? []
      : [(strip: Strip) => layTable(addedTable(content.added, rowsMax), strip, widths)]),
    (strip) => layTable(measuresTable(content.measures, measureRows(rowsMax)), strip, widths),
  ];
  if (content.estimates.length > 0) {
    parts.push((strip) => layEstimates(content.estimates, strip, widths));
  }
  if (others.includes('fit')) parts.push((strip) => layTable(fitTable(content.fit, rowsMax), strip, widths));
  if (others.includes('moved'))
    parts.push((strip) =>
      layTable(movedTable(content.moved, Math.min(rowsMax, MOVED_ROWS_MAX)), strip, widths),
    );
  return stack(parts, COLUMN, GAP_MM);
}

/** Steps are listed in draft.json too; in the column they give way first. */
const MOVED_ROWS_MAX = 4;

/** What the body was held against stays whole as long as anything does: a good seam is told in one word, an ease is not. */
const MEASURE_ROWS = 12;
/** Where hardly a row fits: girths and rises before legs, then none but the first. */
const MEASURE_ROWS_LEAST = [0, 1, 8];

function measureRows(rowsMax: number): number {
  return rowsMax > 2 ? Math.max(rowsMax, MEASURE_ROWS) : MEASURE_ROWS_LEAST[rowsMax];
}

function layParagraph(text: string, style: TextStyle, strip: Strip, widths: TextWidths): Laid {
  const lines = wrapText(text, strip.right - strip.left, style, widths);
  const pitch = linePitchMm(style);
  return {
    marks: lines.map((row, i) =>
      textMark(row, style, { at: { x: strip.left, y: strip.top - style.sizeMm - i * pitch } }, widths),
    ),
    heightMm: lines.length * pitch,
  };
}

const ESTIMATE_LINES_MAX = 3;

/** As many estimates as three lines hold; the others are counted. */
function layEstimates(estimates: readonly EstimateRow[], strip: Strip, widths: TextWidths): Laid {
  const counts = estimates.map((_, i) => estimates.length - i);
  const text = firstThat(
    counts,
    (count) => estimatesText(estimates, count),
    (words) => wrapText(words, strip.right - strip.left, TEXT.small, widths).length <= ESTIMATE_LINES_MAX,
  );
  return layParagraph(text, TEXT.small, strip, widths);
}

/** Reference, block, alterations, verdict. */
function layFacts(content: ProofContent, scale: number, strip: Strip, widths: TextWidths): Laid {
  const { reference, blockName, alterations } = content.facts;
  const sizeMm = sizeThatFits(
    reference,
    strip.right - strip.left,
    [TEXT.reference.sizeMm, 5, 4],
    'semibold',
    widths,
  );
  const style = { sizeMm, weight: 'semibold' } as const;
  const facts = factLines(
    [`block ${blockName}`, ...alterations],
    FACT_LINES_MAX,
    strip.right - strip.left,
    TEXT.title,
    widths,
  );
  return stack(
    [
      (s) => layParagraph(`Proof sheet · scale 1:${scale} on A3 · lengths in mm`, TEXT.small, s, widths),
      (s) => layParagraph(reference, style, s, widths),
      ...facts.map((row) => (s: Strip) => layParagraph(row, TEXT.title, s, widths)),
      (s) => layVerdict(content, s, widths),
    ],
    strip,
    0.4,
  );
}

const FACT_LINES_MAX = 9;

const VERDICT_MM = 6.6;

/** The answer in one line: white on black when the pattern must not be cut, framed when it may. */
function layVerdict(content: ProofContent, { left, right, top }: Strip, widths: TextWidths): Laid {
  const count = (level: string): number => content.findings.filter((f) => f.level === level).length;
  const stops = count('stop');
  const mayCut = content.sewable && stops === 0;
  const word = mayCut ? 'Sewable' : content.sewable ? 'Do not cut' : 'Not sewable: do not cut';
  const counts = `${counted(stops, 'stop')} · ${counted(count('warning'), 'warning')} · ${counted(count('info'), 'info')}`;
  const bottom = top - 1.2 - VERDICT_MM;
  const ink = mayCut ? 'black' : 'white';
  // The pen's outer edge is the column's edge.
  const inset = mayCut ? PENS.heavyRule.widthMm / 2 : 0;
  const box = rectangle(left + inset, bottom, right - inset, bottom + VERDICT_MM);
  const y = bottom + (VERDICT_MM - TEXT.verdict.sizeMm * 0.7) / 2;
  return {
    marks: [
      mayCut ? strokeMark(box, PENS.heavyRule) : fillMark(box, 'black'),
      textMark(word, TEXT.verdict, { at: { x: left + 2.5, y }, ink }, widths),
      textMark(counts, TEXT.row, { at: { x: right - 2.5, y }, anchor: 'end', ink }, widths),
    ],
    heightMm: VERDICT_MM + 1.2,
  };
}

function counted(count: number, word: string): string {
  return `${count} ${word}${count === 1 ? '' : 's'}`;
}

/**
 * What must be known before cutting. A proof is no try-on, and rules of safety are made where the garment is worn.
 *
 * Source  common practice, no source.
 */
export const CAUTIONS: readonly string[] = [
  'A low fork shortens the step and lets cloth hang between the legs: trip hazard on stairs; caught by cycles and machinery.',
  'Sew a toile, or print the pattern and measure its 100 mm test square, before cutting cloth.',
  'Children’s wear: check cords, small parts and trip hazards against the rules where it is worn.',
  'This sheet shows measured figures, not approval: local rules and licensed practice come first.',
];

/** Cautions, provenance, signature: standing on the bottom of the column. */
function layFoot(content: ProofContent, widths: TextWidths): Laid {
  const parts: readonly ((strip: Strip) => Laid)[] = [
    (s) => layHeading('Before cutting', s, widths),
    ...CAUTIONS.map((text) => (s: Strip) => layParagraph(`– ${text}`, TEXT.small, s, widths)),
    (s) => laySignature(s, widths),
    (s) => layParagraph(provenanceText(content), TEXT.small, s, widths),
  ];
  const heightMm = stack(parts, { ...COLUMN }, 0.3).heightMm;
  return { marks: stack(parts, { ...COLUMN, top: COLUMN.bottom + heightMm }, 0.3).marks, heightMm };
}

function provenanceText({ facts, provenance }: ProofContent): string {
  const dated = provenance.dated === undefined ? [] : [`dated ${provenance.dated}`];
  return [facts.reference, provenance.engine, `request ${provenance.requestHash}`, ...dated].join(' · ');
}

const SIGNATURE_MM = 12;

function laySignature({ left, right, top }: Strip, widths: TextWidths): Laid {
  const y = top - SIGNATURE_MM + 3.6;
  const parts = [
    { from: left, to: left + 62, text: 'checked by' },
    { from: left + 67, to: left + 97, text: 'date' },
    { from: left + 102, to: right, text: 'cut / change / do not cut' },
  ];
  return {
    marks: parts.flatMap(({ from, to, text }) => [
      strokeMark([line({ x: from, y }, { x: to, y })], PENS.rule),
      textMark(text, TEXT.small, { at: { x: from, y: y - 2.6 } }, widths),
    ]),
    heightMm: SIGNATURE_MM,
  };
}
