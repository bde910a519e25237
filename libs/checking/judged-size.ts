import type { ForeignPattern, ForeignPiece } from '#interchange';
import { ASTM, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { piecesOfSize, type Grading } from './grade-rules.js';

const NAMED_MAX = 20;

interface ToJudge {
  readonly pieces: ForeignPiece[];
  readonly size: string | undefined;
  readonly found: readonly Found[];
  /** Its points stand in no file: they were made by rules. */
  readonly isMade: boolean;
}

/**
 * The pieces of the one size that is judged: the one asked for, else the file's sample size, else its first.
 *
 * A nest holds the pieces of each size as they will be cut, and comes before its rules. A size that only the grade rule
 * table has is made by its rules.
 */
export function piecesToJudge(
  pattern: ForeignPattern,
  grading: Grading,
  { size: asked }: CheckSettings,
): ToJudge {
  const { sizes } = pattern;
  const sample = sampleOf(pattern, grading);
  const isMade = asked !== undefined && asked !== sample && !sizes.includes(asked);
  const made = isMade ? piecesOfSize(pattern, grading, asked) : undefined;
  if (made !== undefined) return { ...made, size: asked, isMade: true };
  const known = [...new Set([...sizes, ...(grading.table?.sizes ?? [])])];
  const unknown = !isMade ? [] : [known.length > 0 ? sizeUnknown(asked, known) : sizeNotSaid(asked, sample)];
  const single = asked === sample ? asked : undefined;
  const othersThan = (judged: string | undefined): Found[] => {
    const others = known.filter((each) => each !== judged);
    return others.length > 0 ? [sizesNotJudged(judged, others)] : [];
  };
  if (sizes.length === 0) {
    const size = single ?? (grading.table === undefined ? undefined : sample);
    const found = [...unknown, ...(unknown.length > 0 ? [] : othersThan(size))];
    return { pieces: [...pattern.pieces], size, found, isMade: false };
  }
  const size = asked ?? (sample !== undefined && sizes.includes(sample) ? sample : sizes[0]);
  return {
    pieces: pattern.pieces.filter((piece) => piece.size === undefined || piece.size === size),
    size,
    found: [...unknown, ...othersThan(size)],
    isMade: false,
  };
}

function sampleOf({ texts }: ForeignPattern, { table }: Grading): string | undefined {
  const said = texts['Sample Size'];
  return said === undefined || said === '' ? table?.sampleSize : said;
}

function sizeUnknown(size: string, known: readonly string[]): Found {
  return {
    code: 'SIZE_UNKNOWN',
    level: 'stop',
    message: `Neither the file nor a grade rule table sent with it has size ${size}.`,
    action: `Choose one of ${known.slice(0, NAMED_MAX).join(', ')}.`,
    place: {},
    basis: 'as the request says',
  };
}

/** A file of one size may not say which: its pieces are judged as they are, and whose they are is not known. */
function sizeNotSaid(size: string, sample: string | undefined): Found {
  return {
    code: 'SIZE_NOT_IN_FILE',
    level: 'warning',
    message: `Size ${size} was asked for; the file has no sizes${sample === undefined ? '' : `, its sample size is ${sample}`}. Its pieces were judged as they are.`,
    action: 'Leave "size" out, or send the nest, or the grade rule table, that has this size.',
    place: {},
    basis: 'as the request says',
  };
}

function sizesNotJudged(size: string | undefined, others: readonly string[]): Found {
  return {
    code: 'SIZES_NOT_JUDGED',
    level: 'info',
    message: `${size === undefined || size === '' ? 'The sample size' : `Size ${size}`} was judged; the file or its grade rule table also has ${others.slice(0, NAMED_MAX).join(', ')}.`,
    action: 'Name another as "size" in the settings to have it judged.',
    place: {},
    basis: ASTM,
  };
}
