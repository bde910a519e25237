import { contentsOf, pairOf, type DxfContents } from './dxf-entities.js';
import { groupsOf } from './dxf-groups.js';
import { DxfLog, quoted } from './dxf-log.js';
import { pairsOf } from './dxf-pairs.js';
import { piecesOf } from './dxf-pieces.js';
import { wordsOf } from './dxf-strokes.js';
import { isStyleText, systemText } from './dxf-texts.js';
import {
  DXF_LIMITS,
  type DxfLimits,
  type DxfReading,
  type DxfUnits,
  type ForeignPiece,
} from './foreign-pattern.js';

export interface DxfReaderOptions {
  /** Says the unit where the file does not; the file's own word goes before. */
  readonly units?: DxfUnits;
  readonly limits?: DxfLimits;
}

const MM_PER_UNIT: Readonly<Record<DxfUnits, number>> = { metric: 1, english: 25.4, cm: 10 };

/**
 * A pattern from a DXF file that anybody wrote: ASTM D6673 or AAMA-292, ASCII, release 12 or later.
 *
 * Shape     pieces in their own frame, in mm. A piece is a block with a line round it on layer 1; without blocks, each
 *           line on layer 1 that goes round others. Lines may be drawn as POLYLINE, LWPOLYLINE with arcs, chains of LINE
 *           and ARC, SPLINE, ELLIPSE or CIRCLE. A half piece is unfolded on its mirror line.
 * Units     from the text `Units`, else from `options`, else the problem UNITS_MISSING and no pattern, only its shapes
 *           (`unscaled`): a DXF of release 12 has no unit that readers trust.
 * Accuracy  arcs and splines as chords within 0.005 mm; nothing else is rounded.
 * Edges     every problem is listed with its line, what was found, what is allowed and what to do, all at once; what has
 *           no meaning here is listed as unread. Nothing is dropped without a word.
 * Cost      bounded by `options.limits`, counted and never timed; about 30 ms for a trouser of seven pieces.
 * Source    ASTM D6673-10, read in secondary sources; group codes as the public DXF reference gives them.
 */
export function readDxf(text: string, options: DxfReaderOptions = {}): DxfReading {
  const log = new DxfLog(options.limits ?? DXF_LIMITS);
  const pairs = pairsOf(text, log);
  if (pairs.length === 0 && log.problems().length > 0) return answer(undefined, log);
  const contents = contentsOf(pairs, log);
  if (contents.blocks.length === 0 && contents.entities.length === 0) {
    log.problem(noDrawing(pairs.length));
    return answer(undefined, log);
  }
  const texts = styleTexts(contents);
  const units = unitsOf(texts['Units'], contents, options, log);
  // What is wrong with the shapes is said once the unit is known.
  if (units === undefined) return answer(undefined, log, readPieces(contents, 1, new DxfLog(log.limits)));
  const pieces = readPieces(contents, MM_PER_UNIT[units], log);
  if (pieces.length === 0) log.problem(noPieces());
  const sizes = [...new Set(pieces.flatMap(({ size }) => (size === undefined ? [] : [size])))];
  return answer({ texts, units, pieces, sizes }, log);
}

function readPieces(contents: DxfContents, mm: number, log: DxfLog): ForeignPiece[] {
  const pieces: ForeignPiece[] = [];
  for (const group of groupsOf(contents, mm, log)) {
    pieces.push(...piecesOf(group, log));
    if (pieces.length <= log.limits.pieces) continue;
    log.problem(tooManyPieces(group.line, log));
    return pieces.slice(0, log.limits.pieces);
  }
  return pieces;
}

function answer(
  pattern: DxfReading['pattern'],
  log: DxfLog,
  unscaled: readonly ForeignPiece[] = [],
): DxfReading {
  return { pattern, unscaled, problems: log.problems(), unread: log.unreadParts() };
}

/** Style texts stand among the entities; some programs put them into every block. The first of a kind counts. */
function styleTexts({ blocks, entities }: DxfContents): Record<string, string> {
  const texts: Record<string, string> = {};
  for (const entity of [...entities, ...blocks.flatMap((block) => block.entities)]) {
    if (!TEXT_KINDS.has(entity.kind)) continue;
    const words = wordsOf(entity);
    const found = systemText(words);
    if (found !== undefined && isStyleText(found.identifier)) texts[found.identifier] ??= found.value;
    else if (/^ASTM\/|^ANSI\/AAMA/i.test(words)) texts['Standard'] ??= words;
  }
  return texts;
}

const TEXT_KINDS = new Set(['TEXT', 'MTEXT', 'ATTRIB']);

const UNIT_WORDS: Readonly<Record<string, DxfUnits>> = {
  metric: 'metric',
  mm: 'metric',
  millimeters: 'metric',
  millimetres: 'metric',
  english: 'english',
  imperial: 'english',
  inch: 'english',
  inches: 'english',
  in: 'english',
  cm: 'cm',
  centimeters: 'cm',
  centimetres: 'cm',
};

/** What `$INSUNITS` of later releases may say: a hint for the question, because many programs leave it at its default. */
const HEADER_UNITS: Readonly<Record<string, string>> = {
  '1': 'inches',
  '4': 'millimetres',
  '5': 'centimetres',
};

/** The unit that the text `Units` of a file says; undefined where it says none that is known. */
export function unitsSaid(text: string | undefined): DxfUnits | undefined {
  const word = (text ?? '').trim().toLowerCase();
  return Object.hasOwn(UNIT_WORDS, word) ? UNIT_WORDS[word] : undefined;
}

function unitsOf(
  text: string | undefined,
  { header, entities }: DxfContents,
  options: DxfReaderOptions,
  log: DxfLog,
): DxfUnits | undefined {
  const units = unitsSaid(text) ?? options.units;
  if (units !== undefined) return units;
  const hint = HEADER_UNITS[header.get('$INSUNITS') ?? ''];
  const where = entities.find((entity) => /^units?\s*:/i.test(wordsOf(entity)));
  log.problem({
    code: 'UNITS_MISSING',
    line: where === undefined ? 0 : (pairOf(where, 1)?.line ?? where.line),
    found: text === undefined || text === '' ? 'no text "Units:"' : `Units:${quoted(text)}`,
    allowed: 'Units:METRIC (mm) or Units:ENGLISH (inches)',
    message: `The file does not say its unit${hint === undefined ? '' : `; its header speaks of ${hint}, which is not to be relied on`}.`,
    action:
      'Ask whoever drew it whether it is in millimetres, inches or centimetres, and say so with the check (units: metric, english or cm), or have it exported again with its unit.',
  });
  return undefined;
}

function noDrawing(groups: number) {
  return {
    code: 'DXF_EMPTY',
    line: 0,
    found: groups === 0 ? 'no groups' : 'no blocks and no entities',
    allowed: 'a BLOCKS section with pieces, or an ENTITIES section',
    message: 'The file holds no drawing.',
    action: 'Export the pieces of one style as DXF (ASTM D6673 or AAMA).',
  };
}

function noPieces() {
  return {
    code: 'DXF_NO_PIECES',
    line: 0,
    found: 'no line on layer 1',
    allowed: 'the cut line of each piece on layer 1',
    message: 'No piece was found: nothing is drawn on layer 1, the cut line of ASTM D6673.',
    action: 'Export the pattern with the layers of ASTM D6673 or AAMA.',
  };
}

function tooManyPieces(line: number, log: DxfLog) {
  const most = log.limits.pieces;
  return {
    code: 'DXF_TOO_MANY_PIECES',
    line,
    found: `more than ${most} pieces`,
    allowed: `at most ${most} pieces`,
    message: `The file has more than ${most} pieces; the rest was not read.`,
    action: 'Send one style a file, in fewer sizes.',
  };
}

/** The text of a file's bytes: UTF-8 where it is that, else the western code page that older programs write. */
export function dxfText(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    // Older releases write the code page of the country; every byte of this one is a letter.
    return new TextDecoder('windows-1252').decode(bytes);
  }
}
