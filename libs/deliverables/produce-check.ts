import { createHash } from 'node:crypto';
import {
  checkContent,
  checkPattern,
  correctPattern,
  type CheckedPattern,
  type CheckReport,
  type CheckSheetFacts,
} from '#checking';
import { canonicalJson, originalName, readCheckedBlock, type CheckWork, type Json } from '#contracts';
import { dxfText, writeSvg } from '#interchange';
import { applyRules, ruleWords, type Judged } from '#judging';
import { bySeriousness } from '#pattern';
import { checkGivenBlock, writtenJson } from '#pipeline';
import { renderPdf } from '#render';
import { checkSheet, PLEX_WIDTHS } from '#sheets';
import { fromBytes, fromText, type Deliverable } from './deliverable.js';
import { MANIFEST_NAME, manifestText, sha256 } from './manifest.js';

/** More than a person reads; what is kept beside the files stays small whatever a file does. All are in truing.json. */
const FINDINGS_KEPT_MAX = 1000;

/** As much of a report as both kinds of pattern have. */
type AnyReport = Pick<CheckReport, 'findings' | 'judged' | 'corrections' | 'moved' | 'pieces'>;

export interface CheckMade {
  /** `truing.json` first, `manifest.json` last. Never the pattern as it came. */
  readonly files: readonly Deliverable[];
  /** What is told of a check beside its files. */
  readonly result: Pick<Judged<AnyReport>, 'sewable' | 'judged' | 'findings' | 'corrections' | 'moved'> & {
    readonly pieces: readonly Pick<
      CheckReport['pieces'][number],
      'piece' | 'name' | 'kind' | 'basis' | 'confidence'
    >[];
  };
  readonly findingCounts: { readonly info: number; readonly warning: number; readonly stop: number };
}

export interface CheckStage {
  readonly stage: 'checking' | 'drawing';
  /** 0..1 of the whole. */
  readonly fraction: number;
}

/** Where drawing begins; a guess that only a bar shows. */
const CHECKED = 0.6;

/**
 * Everything that a check comes to, as the bytes of its files.
 *
 * Shape   truing.json; the drawings as asked; corrected.dxf when corrections were asked for and made, all else then
 *         being of that; manifest.json. The same work and pattern give the same bytes.
 * Edges   whatever is wrong with the pattern is a finding. A throw is a bug of the engine.
 * Cost    0.1 s for a trouser; bounded by the limits of the reader.
 */
export async function produceCheck(
  work: CheckWork,
  pattern: Uint8Array,
  engine: string,
  onStage: (stage: CheckStage) => void,
): Promise<CheckMade> {
  onStage({ stage: 'checking', fraction: 0 });
  const made = work.kind === 'block' ? blockReport(pattern) : dxfReport(work, pattern);
  const { report, checked } = made;
  const corrected = made.corrected === undefined ? [] : [fromText('corrected.dxf', made.corrected)];
  const judged = applyRules(report, work.rules, work.judgedOn);
  const original = { name: originalName(work.kind), bytes: pattern.length, sha256: sha256(pattern) };
  onStage({ stage: 'drawing', fraction: CHECKED });
  const { profiles, judgedOn } = work;
  const files = [
    fromText('truing.json', writtenJson({ engine, profiles, judgedOn, ...judged })),
    ...corrected,
  ];
  if (checked !== undefined) {
    const facts = factsOf(work, judged, engine, original.sha256);
    const [{ sha256: correctedSha256 } = { sha256: undefined }] = corrected;
    const more =
      made.before === undefined || correctedSha256 === undefined
        ? {}
        : { before: made.before, correctedSha256 };
    files.push(...(await drawn(work, withRules(checked, judged), { ...facts, ...more })));
  }
  const provenance = { engine, requestHash: workHash(work, original.sha256) };
  files.push(fromText(MANIFEST_NAME, manifestText(provenance, files, original)));
  return { files, result: written(resultOf(judged)), findingCounts: countsOf(judged.findings) };
}

interface Reported {
  readonly report: AnyReport;
  /** What the sheet is drawn from; a block has none. */
  readonly checked?: CheckedPattern;
  readonly corrected?: string | undefined;
  /** Of the file as it came, where corrections were asked for. */
  readonly before?: CheckReport;
}

function dxfReport({ settings: held, gradeRules, correct }: CheckWork, pattern: Uint8Array): Reported {
  const text = dxfText(pattern);
  const settings = gradeRules === undefined ? held : { ...held, gradeRules };
  if (correct.length === 0) {
    const checked = checkPattern(text, settings);
    return { report: checked.report, checked };
  }
  const { checked, text: corrected, before } = correctPattern(text, settings, correct);
  return { report: checked.report, checked, corrected, before };
}

/** What the sheet says beside the report. */
function factsOf(
  { name, reference, styleId, versionId, profiles, judgedOn }: CheckWork,
  { findings }: Judged<AnyReport>,
  engine: string,
  originalSha256: string,
): CheckSheetFacts {
  return {
    engine,
    ...(name === undefined ? {} : { name }),
    ...(reference === undefined ? {} : { reference }),
    ...(styleId === undefined ? {} : { styleId }),
    ...(versionId === undefined ? {} : { versionId }),
    sha256: originalSha256,
    profiles,
    judgedOn,
    ruled: new Map(
      findings.flatMap(({ number, rule }) =>
        rule === null ? [] : [[number, { by: rule.by, was: rule.was, words: ruleWords(rule) }]],
      ),
    ),
  };
}

/** The sheet shows findings as the rules see them. */
function withRules(checked: CheckedPattern, { findings, sewable }: Judged<AnyReport>): CheckedPattern {
  return { ...checked, report: { ...checked.report, findings, sewable } };
}

async function drawn(
  { outputs, dated }: CheckWork,
  checked: CheckedPattern,
  facts: CheckSheetFacts,
): Promise<readonly Deliverable[]> {
  if (outputs.length === 0) return [];
  const sheet = checkSheet(checkContent(checked, facts), PLEX_WIDTHS);
  const options = { title: sheet.title, creator: facts.engine, ...(dated === undefined ? {} : { dated }) };
  return [
    ...(outputs.includes('svg') ? [fromText('sheet.svg', writeSvg(sheet))] : []),
    ...(outputs.includes('pdf') ? [fromBytes('sheet.pdf', await renderPdf([sheet], options))] : []),
  ];
}

/** A block has two pieces that say what they are, and is judged as the block of a draft is. */
function blockReport(pattern: Uint8Array): Reported {
  const read = readCheckedBlock(new TextDecoder().decode(pattern));
  if (!read.ok) throw new Error('BLOCK_NO_LONGER_READ');
  const { report, findings } = checkGivenBlock(read.value);
  const numbered = bySeriousness(findings).map(({ code, level, message, action, numbers, place }, i) => ({
    number: i + 1,
    code,
    level,
    message,
    action,
    place: place === undefined ? {} : { ...place },
    numbers: { ...numbers },
    tolerance: null,
    basis: 'as for a draft',
    correction: null,
  }));
  const seams = (report as { readonly seams?: readonly unknown[] }).seams ?? [];
  const judged = seams.length > 0 ? ('trouser' as const) : ('nothing' as const);
  const more = { pieces: [], corrections: [], moved: [], judged };
  return { report: { ...(report as object), ...more, findings: numbered } };
}

function resultOf({
  sewable,
  judged,
  findings,
  pieces,
  corrections,
  moved,
}: Judged<AnyReport>): CheckMade['result'] {
  return {
    sewable,
    judged,
    findings: findings.slice(0, FINDINGS_KEPT_MAX),
    pieces: pieces.map(({ piece, name, kind, basis, confidence }) => ({
      piece,
      name,
      kind,
      basis,
      confidence,
    })),
    corrections,
    moved,
  };
}

/** Numbers as truing.json has them: rounded to 1e-6. */
function written(result: CheckMade['result']): CheckMade['result'] {
  return JSON.parse(writtenJson(result)) as CheckMade['result'];
}

function countsOf(findings: readonly { readonly level: string }[]): CheckMade['findingCounts'] {
  const count = (level: string): number => findings.filter((finding) => finding.level === level).length;
  return { info: count('info'), warning: count('warning'), stop: count('stop') };
}

function workHash(work: CheckWork, file: string): string {
  return createHash('sha256')
    .update(canonicalJson({ file, work: JSON.parse(JSON.stringify(work)) as Json }))
    .digest('hex');
}
