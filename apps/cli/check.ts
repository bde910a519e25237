import { createHash } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import { basename } from 'node:path';
import {
  CHECK_DEFAULTS,
  CORRECTION_CODES,
  checkContent,
  checkPattern,
  correctPattern,
  type CheckedPattern,
  type CheckFinding,
  type CheckSettings,
  type CheckSheetFacts,
} from '#checking';
import { nearestName, readBlock, readCheckSettings, readJsonText, JSON_BYTES_MAX } from '#contracts';
import { engineVersion } from '#deliverables';
import { DXF_LIMITS, dxfText, notDxf, writeSvg } from '#interchange';
import { checkGivenBlock, writtenJson } from '#pipeline';
import { renderPdf, renderPng } from '#render';
import { checkSheet, PLEX_WIDTHS } from '#sheets';
import { EXIT, UsageError, type ExitCode } from './exit-code.js';
import { PendingFile } from './pending-file.js';
import { findingLine, oneLine, problemLine } from './problem-line.js';
import { sizeOf } from './read-request-file.js';
import { filesOf, requireOutputs } from './require-outputs.js';
import type { Call, Streams, Verb } from './verb.js';

export const CHECK: Verb = {
  name: 'check',
  summary: 'say whether a pattern from outside will sew together',
  operands: ['FILE.dxf|FILE.json'],
  options: {
    out: { value: 'REPORT.json', says: 'file for the truing report', needed: true },
    settings: {
      value: 'SETTINGS.json',
      says: 'tolerances, what pieces are, and which seams are sewn to each other',
    },
    units: {
      value: 'UNIT',
      says: 'the unit of a DXF that does not say it',
      oneOf: ['metric', 'english', 'cm'],
    },
    size: { value: 'SIZE', says: 'the size to judge, of a file that holds several' },
    'grade-rules': {
      value: 'FILE.rul',
      says: 'the grade rule table that goes with the DXF: it is compared, and --size may name its sizes',
    },
    sheet: { value: 'FILE.svg|png|pdf', says: 'file for the drawing to look at and to sign' },
    correct: {
      value: 'CODES',
      says: 'corrections to make, by the codes the report offers, with commas between',
    },
    corrected: {
      value: 'FILE.dxf',
      says: 'file for the corrected pattern; the one that was read stays as it is',
    },
  },
  description: [
    'Reads a DXF by ASTM D6673 or AAMA (or a block as JSON), finds its front, back and waistband, draws fair curves',
    'through its points, walks the seams that are sewn to each other and looks at corners, notches, allowances and',
    'outlines. REPORT.json holds every check with its numbers, the findings and the corrections that are offered.',
    'Findings are printed one a line. With --correct and --corrected the corrections are made, and the report is that',
    'of the corrected file.',
    'Answers 0 for a pattern that can be cut, 1 for one with a stop finding; REPORT.json is written all the same.',
  ],
  run,
};

async function run({ operands: [path], options }: Call, streams: Streams): Promise<ExitCode> {
  if (options['sheet'] !== undefined && !/\.(svg|png|pdf)$/i.test(options['sheet']))
    throw new UsageError([`--sheet ${options['sheet']}: a sheet is written as .svg, .png or .pdf.`]);
  if ((options['correct'] === undefined) !== (options['corrected'] === undefined))
    throw new UsageError(['--correct and --corrected go together: what to correct, and where to write it.']);
  const codes = codesOf(options['correct']);
  if (codes?.length === 0)
    throw new UsageError([
      '--correct names no code; it takes those that the report offers, with commas between.',
    ]);
  const strange = codes?.filter((code) => !CORRECTION_CODES.includes(code)) ?? [];
  if (strange.length > 0)
    throw new UsageError(
      strange.map((code) => oneLine(`--correct ${code.slice(0, 64)}: ${notOffered(code)}`)),
    );
  await requireOutputs(
    [{ name: 'the pattern', path }, ...filesOf(options, ['settings', 'grade-rules'])],
    filesOf(options, ['out', 'sheet', 'corrected']),
  );
  if (/\.json$/i.test(path)) return checkJson(path, options, streams);
  const settings = { ...(await settingsOf(options)), ...(await gradeRulesOf(options['grade-rules'])) };
  const bytes = await patternBytes(path);
  const text = dxfText(bytes);
  const made =
    codes === undefined
      ? { checked: checkPattern(text, settings), text: undefined }
      : correctPattern(text, settings, codes);
  const { checked, text: corrected } = made;
  const { report } = checked;
  await write(options['out'], writtenJson(report));
  if (options['sheet'] !== undefined) {
    const facts = { engine: engineVersion(), name: basename(path), sha256: sha256(bytes) };
    const more =
      corrected === undefined || !('before' in made)
        ? {}
        : { before: made.before, correctedSha256: sha256(corrected) };
    await writeSheet(options['sheet'], checked, { ...facts, ...more });
  }
  if (corrected !== undefined) await write(options['corrected'], corrected);
  for (const finding of report.findings) streams.err(lineOf(finding));
  for (const { code, words } of report.corrections)
    streams.out(oneLine(`Can be corrected: ${code}: ${words}`));
  for (const { operation, piece, part, byMm } of report.moved)
    streams.out(
      `Moved: ${operation}, ${piece === undefined ? '' : `${piece}, `}${part}, ${byMm.toFixed(1)} mm.`,
    );
  if (codes !== undefined && corrected === undefined)
    streams.out(`Nothing was corrected, and ${options['corrected']} was not written.`);
  streams.out(
    `${report.sewable ? 'Sewable' : 'Not sewable as it stands'}; ${findingsIn(report.findings.length)} in ${options['out']}.`,
  );
  return report.sewable ? EXIT.answered : EXIT.no;
}

async function patternBytes(path: string): Promise<Buffer> {
  const size = await sizeOf(path);
  if (size > DXF_LIMITS.characters)
    throw new UsageError([
      `${path}: ${size} bytes; at most ${DXF_LIMITS.characters} are read. Send one style a file.`,
    ]);
  const bytes = await readFile(path);
  const other = notDxf(bytes);
  if (other === undefined) return bytes;
  throw new UsageError([`${path} is ${other}, not a DXF as text. Export it as ASCII DXF, not packed.`]);
}

function notOffered(code: string): string {
  const near = nearestName(code, CORRECTION_CODES);
  const list = CORRECTION_CODES.join(', ');
  return near === undefined
    ? `no check offers to correct it. It takes ${list}.`
    : `no check offers to correct it. Did you mean ${near}?`;
}

function codesOf(typed: string | undefined): string[] | undefined {
  return typed
    ?.split(',')
    .map((code) => code.trim().toUpperCase())
    .filter((code) => code !== '');
}

function sha256(file: Uint8Array | string): string {
  return createHash('sha256').update(file).digest('hex');
}

async function writeSheet(path: string, checked: CheckedPattern, facts: CheckSheetFacts): Promise<void> {
  const sheet = checkSheet(checkContent(checked, facts), PLEX_WIDTHS);
  const svg = writeSvg(sheet);
  if (/\.svg$/i.test(path)) return write(path, svg);
  const bytes = /\.png$/i.test(path)
    ? await renderPng(svg, SHEET_PX)
    : await renderPdf([sheet], { title: sheet.title, creator: facts.engine });
  await writeFile(path, bytes);
}

function findingsIn(count: number): string {
  return count === 1 ? '1 finding' : `${count} findings`;
}

/** A3 at 150 dots an inch. */
const SHEET_PX = 2480;

function lineOf({ number, level, code, message, action, place }: CheckFinding): string {
  const where = [place.piece, place.part, place.line === undefined ? undefined : `line ${place.line}`].filter(
    (word) => word !== undefined,
  );
  return oneLine(
    `${number} ${level} ${code}${where.length === 0 ? '' : ` (${where.join(', ')})`}: ${message} Do: ${action}`,
  );
}

async function settingsOf(options: Call['options']): Promise<CheckSettings> {
  const path = options['settings'];
  const settings = path === undefined ? CHECK_DEFAULTS : await readSettings(path);
  const units = options['units'] as CheckSettings['units'];
  return {
    ...settings,
    ...(units === undefined ? {} : { units }),
    ...(options['size'] === undefined ? {} : { size: options['size'] }),
  };
}

async function gradeRulesOf(path: string | undefined): Promise<Pick<CheckSettings, 'gradeRules'>> {
  if (path === undefined) return {};
  const size = await sizeOf(path);
  if (size > RUL_BYTES_MAX)
    throw new UsageError([`${path}: ${size} bytes; a grade rule table of at most ${RUL_BYTES_MAX} is read.`]);
  return { gradeRules: dxfText(await readFile(path)) };
}

const RUL_BYTES_MAX = 4 * 1024 * 1024;

async function readSettings(path: string): Promise<CheckSettings> {
  const json = await readJson(path);
  const read = readCheckSettings(json);
  if (read.ok) return read.value;
  throw new UsageError(read.problems.map((problem) => `${path}: ${problemLine(problem)}`));
}

async function readJson(path: string): Promise<unknown> {
  const size = await sizeOf(path);
  if (size > JSON_BYTES_MAX)
    throw new UsageError([`${path}: ${size} bytes; at most ${JSON_BYTES_MAX} are read.`]);
  const read = readJsonText(await readFile(path, 'utf8'));
  if (read.ok) return read.value;
  throw new UsageError(read.problems.map((problem) => `${path}: ${problemLine(problem)}`));
}

/** What only a drawing from outside takes: a block says its own unit, what its pieces are, and is corrected by a draft. */
const OF_DXF = ['settings', 'units', 'size', 'grade-rules', 'sheet', 'correct', 'corrected'];

async function checkJson(path: string, options: Call['options'], streams: Streams): Promise<ExitCode> {
  const idle = OF_DXF.filter((name) => Object.hasOwn(options, name));
  if (idle.length > 0)
    throw new UsageError(idle.map((name) => `--${name} goes with a DXF; ${path} is a block as JSON.`));
  const { out } = options;
  const read = readBlock(await readJson(path));
  if (!read.ok) throw new UsageError(read.problems.map((problem) => `${path}: ${problemLine(problem)}`));
  const { report, findings } = checkGivenBlock(read.value);
  await write(out, writtenJson(report));
  for (const finding of findings) streams.err(findingLine(finding));
  const isStopped = findings.some(({ level }) => level === 'stop');
  streams.out(
    `${isStopped ? 'Not sewable as it stands' : 'Sewable'}; ${findingsIn(findings.length)} in ${out}.`,
  );
  return isStopped ? EXIT.no : EXIT.answered;
}

async function write(path: string, text: string): Promise<void> {
  const file = await PendingFile.open(path);
  await file.write(text);
  await file.place();
}
