import { inMm, type Moved } from '#pattern';
import type { CheckContent, CheckContentRule, CheckContentSeam } from '#sheets';
import type { CheckedPattern } from './check-pattern.js';
import type { CheckReport } from './check-report.js';

/** What a sheet says beside the report: which pattern it is, by which rules, and what it was before it was corrected. */
export interface CheckSheetFacts {
  /** Name and version. */
  readonly engine: string;
  /** What whoever sent the pattern calls it. */
  readonly name?: string;
  readonly reference?: string;
  readonly styleId?: string;
  readonly versionId?: string;
  /** SHA-256 in hex of the file as it came, and of the corrected one. */
  readonly sha256?: string;
  readonly correctedSha256?: string;
  readonly profiles?: readonly { readonly name: string; readonly version: number }[];
  /** The day by which the ignore list was read, YYYY-MM-DD. */
  readonly judgedOn?: string;
  /** Of the file as it came, where the pattern is a corrected one. */
  readonly before?: CheckReport;
  /** What the rules made of findings, by the number of the finding. */
  readonly ruled?: ReadonlyMap<number, CheckContentRule>;
}

/** Enough of a hash to tell two files apart by eye, and to find it in a list. */
const HASH_SHOWN = 12;

/** What the pattern is called; the style name of its file where the sender has none. */
export function nameOf({ report: { file } }: CheckedPattern, { name }: CheckSheetFacts): string {
  return name ?? file.styleName ?? 'Pattern';
}

/** Only what is known. There is no id of a check among it: the same work is to be the same bytes. */
export function identityOf(checked: CheckedPattern, facts: CheckSheetFacts): CheckContent['identity'] {
  const { styleName } = checked.report.file;
  const { reference, styleId, versionId, sha256, correctedSha256, profiles = [], judgedOn } = facts;
  const known: readonly (readonly [label: string, value: string | undefined])[] = [
    ['Name in the file', styleName === null || styleName === nameOf(checked, facts) ? undefined : styleName],
    ['Style id', styleId],
    ['Version id', versionId],
    ['Reference', reference],
    ['File as it came: SHA-256', sha256?.slice(0, HASH_SHOWN)],
    ['Corrected file: SHA-256', correctedSha256?.slice(0, HASH_SHOWN)],
    ...profiles.map(({ name, version }) => ['Rules', `${name}, version ${version}`] as const),
    ['Judged on', judgedOn],
  ];
  return known.flatMap(([label, value]) => (value === undefined || value === '' ? [] : [{ label, value }]));
}

/** The pieces that are drawn: of a nest without a unit the first size, since no size of it was chosen to be judged. */
export function drawnPieces(checked: CheckedPattern): CheckedPattern['pieces'] {
  const { pieces } = checked;
  const size = isUnitUnknown(checked) ? pieces.find((piece) => piece.size !== undefined)?.size : undefined;
  return size === undefined
    ? pieces
    : pieces.filter((piece) => piece.size === undefined || piece.size === size);
}

/** Whether the file holds shapes of which nobody knows how large they are. */
export function isUnitUnknown({ report: { file }, pieces }: CheckedPattern): boolean {
  return file.units === null && pieces.length > 0;
}

export function verdictOf(checked: CheckedPattern, { ruled, before }: CheckSheetFacts): string {
  const { sewable, judged, findings } = checked.report;
  if (isUnitUnknown(checked)) return 'Not judged: the file does not say its unit';
  if (checked.pieces.length === 0) return 'Not judged: no pattern could be read';
  const part =
    judged === 'trouser' ? '' : ` (${judged === 'nothing' ? 'nothing could be judged' : 'pieces only'})`;
  const aside = findings.filter(
    ({ number, level }) => level !== 'stop' && ruled?.get(number)?.was === 'stop',
  ).length;
  if (!sewable) return `Not sewable ${before === undefined ? 'as it stands' : 'even as corrected'}${part}`;
  const verdict = `Sewable${before === undefined ? '' : ' as corrected'}${part}`;
  if (aside === 0) return verdict;
  return `${verdict} by its rules: ${aside === 1 ? '1 stop was' : `${aside} stops were`} set aside or lowered`;
}

/** Why a sheet has no measures, or no drawing. */
export function noticeOf(checked: CheckedPattern): string | undefined {
  if (isUnitUnknown(checked))
    return 'The file does not say its unit, so nothing was measured. The shapes are drawn only so that the pattern can be recognised. Ask whoever drew it whether it is in millimetres, inches or centimetres, and have it checked again with that.';
  if (checked.pieces.length > 0) return undefined;
  return 'This file could not be read as a pattern: nothing is drawn and nothing was judged. The findings say what is wrong with it. Have the style exported again as DXF by ASTM D6673 or AAMA, as text and not packed, and check that file.';
}

/** The words of what the sewer has to do, of every seam that fits by it. */
export function easesOf({ seams, stated }: CheckReport): readonly string[] {
  return [
    ...seams.flatMap(({ state, fix }) => (state === 'fixed' && fix !== null ? [fix.words] : [])),
    ...stated.filter(({ easeMm }) => Math.abs(easeMm) >= EASED_MM).map(statedEase),
  ];
}

/** What is eased by less lies within what two seams may differ by. */
const EASED_MM = 0.5;

function statedEase({ name, firstPiece, secondPiece, easeMm }: CheckReport['stated'][number]): string {
  const [longer, shorter] = easeMm > 0 ? [secondPiece, firstPiece] : [firstPiece, secondPiece];
  return `At the seam ${name}, ease in ${longer} by ${inMm(Math.abs(easeMm))} to ${shorter}.`;
}

/** Lengths that differ by less are as they were. */
const CHANGED_MM = 0.05;

/** What was moved, and the seams that came of it beside what they were. */
export function correctedOf(
  moved: readonly Moved[],
  before: readonly CheckContentSeam[],
  after: readonly CheckContentSeam[],
): NonNullable<CheckContent['corrected']> {
  const seams = after.flatMap((now) => {
    const was = before.find(({ name }) => name === now.name);
    if (was === undefined) return [];
    const sides = {
      first: { beforeMm: was.first.lengthMm, afterMm: now.first.lengthMm },
      second: { beforeMm: was.second.lengthMm, afterMm: now.second.lengthMm },
    };
    const isChanged = [sides.first, sides.second].some(
      ({ beforeMm, afterMm }) => Math.abs(afterMm - beforeMm) >= CHANGED_MM,
    );
    return isChanged || (was.state === 'off' && now.state !== 'off')
      ? [{ name: `${now.name}: ${now.first.name}, ${now.second.name}`, ...sides }]
      : [];
  });
  return {
    moved: moved.map(({ operation, piece, part, byMm }) => ({ operation, piece: piece ?? '', part, byMm })),
    seams,
  };
}
