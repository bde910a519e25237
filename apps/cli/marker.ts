import { availableParallelism } from 'node:os';
import { basename, dirname, resolve } from 'node:path';
import { markerFile, toLayout, type Marker, type MarkerRequest, type WholeGarments } from '#marker';
import { EXIT, UsageError, type ExitCode } from './exit-code.js';
import { answerInterrupt } from './interrupt.js';
import { markerDrawing, markerFolder, type LaidRequest } from './marker-folder.js';
import { MarkerThreads, type Budget, type Found } from './marker-threads.js';
import { PendingFile } from './pending-file.js';
import { ProgressBar } from './progress-bar.js';
import { readMarkerFile, readStartFile } from './read-marker-file.js';
import type { Call, Streams, Verb } from './verb.js';
import { requireFolder, writeFolder } from './write-folder.js';

const THREADS_MAX = 64;
const SECONDS_MAX = 86_400;
const WORK_MAX = 1e12;
const SEED_MAX = 0xffffffff;

/** Moves a piece that go into finding out which whole garments fit: a few seconds for ten garments. */
const WHOLE_GARMENT_MOVES_PER_PIECE = 400;

export const MARKER: Verb = {
  name: 'marker',
  summary: 'lay pieces on cloth as short as can be found, with a certificate',
  operands: ['INSTANCE.json'],
  options: {
    seconds: { value: 'S', says: 'search for so long; give this or --work' },
    work: { value: 'W', says: 'search for so many moves a thread: the same marker every time' },
    seed: { value: 'N', says: 'where the search starts, a whole number; 1 when left out' },
    threads: {
      value: 'T',
      says: `independent searches at once, 1 to ${THREADS_MAX}; as many as processors when left out`,
    },
    from: {
      value: 'EARLIER.json',
      says: 'a layout written before: the search begins there instead of at random',
    },
    out: { value: 'LAYOUT.json', says: 'the layout', needed: true },
    drawing: { value: 'MARKER.svg', says: 'a drawing of it to scale as well' },
    files: {
      value: 'DIR',
      says: 'marker.json, marker.svg, marker.pdf, marker-sheet.pdf (true size), marker.dxf and marker.plt as well',
    },
  },
  description: [
    'Reads a strip-packing instance (stripHeight, pieces with id, count, turns, outline) or a marker request (cloth,',
    'pieces, garments) and writes where each piece lies. Only a layout that an exact certificate has passed is',
    'written. Ctrl-C ends the search early and writes the best so far. When the cloth cannot take a piece nothing is',
    'written and the answer is no; when the cloth is too short the best marker is written and the answer is no.',
  ],
  run,
};

async function run({ operands: [path], options }: Call, streams: Streams): Promise<ExitCode> {
  const { budget, seed, threads } = readNumbers(options);
  const out = options['out'];
  await requireOutputs(path, options);
  const read = await readMarkerFile(path);
  if (!read.ok) {
    for (const line of read.lines) streams.err(line);
    return read.why === 'infeasible' ? EXIT.no : EXIT.usage;
  }
  const { request, form } = read;
  const start = options['from'] === undefined ? undefined : await readStartFile(options['from'], request);
  if (start?.ok === false) {
    for (const line of start.lines) streams.err(`${options['from']}: ${line}`);
    return EXIT.usage;
  }
  const bar = new ProgressBar(streams.bar, 'marker');
  const search = new MarkerThreads({
    request,
    seed,
    threads,
    budget,
    ...(start === undefined ? {} : { startFrom: start.places }),
    onProgress: (share) => bar.show(share),
  });
  const interrupt = answerInterrupt(() => search.stop());
  const found = await search.lay();
  const { marker } = found;
  const whole = marker.fits ? undefined : await wholeGarments(search, request);
  interrupt.release();
  bar.clear();
  const layout = form === 'instance' ? toLayout(marker) : markerFile(request, marker, whole);
  await writeWhole(out, `${JSON.stringify(layout, undefined, 1)}\n`);
  await writeDrawings({ reference: basename(path, '.json'), request, marker, layout }, options);
  for (const line of faultLines(found)) streams.err(line);
  streams.out(summaryOf(marker, out));
  if (marker.fits) return EXIT.answered;
  streams.err(shortOfCloth(request, whole));
  return EXIT.no;
}

async function requireOutputs(path: string, options: Call['options']): Promise<void> {
  const files = [path, ...['out', 'drawing'].flatMap((name) => options[name] ?? [])].map((file) =>
    resolve(file),
  );
  if (new Set(files).size < files.length)
    throw new UsageError(['INSTANCE.json, --out and --drawing must be different files.']);
  for (const file of files.slice(1)) await requireFolder(dirname(file));
  if (options['files'] !== undefined) await requireFolder(options['files'], '--files');
}

async function writeDrawings(laid: LaidRequest, options: Call['options']): Promise<void> {
  if (options['drawing'] !== undefined) await writeWhole(options['drawing'], markerDrawing(laid));
  if (options['files'] !== undefined) await writeFolder(options['files'], await markerFolder(laid));
}

async function writeWhole(path: string, text: string): Promise<void> {
  const file = await PendingFile.open(path);
  await file.write(text);
  await file.place();
}

function wholeGarments(search: MarkerThreads, request: MarkerRequest): Promise<WholeGarments | undefined> {
  const pieces = request.garments.flatMap((garment) => garment.pieces);
  const count = pieces.reduce((sum, { plain, mirrored = 0 }) => sum + plain + mirrored, 0);
  return search.wholeGarments(WHOLE_GARMENT_MOVES_PER_PIECE * count);
}

interface Numbers {
  readonly budget: Budget;
  readonly seed: number;
  readonly threads: number;
}

function readNumbers(options: Call['options']): Numbers {
  const faults: string[] = [];
  const read = (name: string, usual: number, form: RegExp, min: number, max: number): number => {
    const typed = options[name] as string | undefined;
    if (typed === undefined) return usual;
    const value = form.test(typed) ? Number(typed) : NaN;
    if (value >= min && value <= max) return value;
    faults.push(
      `--${name} is "${typed}"; it may be a ${form === WHOLE ? 'whole number' : 'number'} from ${min} to ${max}.`,
    );
    return usual;
  };
  const given = ['seconds', 'work'].filter((name) => Object.hasOwn(options, name));
  if (given.length !== 1)
    faults.push(`Give either --seconds or --work${given.length === 0 ? '' : ', not both'}.`);
  const seconds = read('seconds', 10, DECIMAL, 0.1, SECONDS_MAX);
  const work = read('work', 0, WHOLE, 1, WORK_MAX);
  const seed = read('seed', 1, WHOLE, 0, SEED_MAX);
  const threads = read('threads', Math.min(THREADS_MAX, availableParallelism()), WHOLE, 1, THREADS_MAX);
  if (faults.length > 0) throw new UsageError([...faults, 'Try: forkline marker --help']);
  return { budget: given[0] === 'work' ? { work } : { seconds }, seed, threads };
}

const WHOLE = /^\d{1,13}$/;
const DECIMAL = /^\d{1,6}(\.\d{1,3})?$/;

function summaryOf({ figures, placements }: Marker, out: string): string {
  const { length, utilisation, lowerBound } = figures;
  const percent = (100 * utilisation).toFixed(2);
  return (
    `${placements.length} pieces on a length of ${length.toFixed(2)}, utilisation ${percent} %; ` +
    `no marker is shorter than ${lowerBound.toFixed(2)}. Certified. Layout: ${out}.`
  );
}

/** Faults of the program that did not cost the answer, but that its makers should hear of. */
function faultLines({ refused, broken }: Found): string[] {
  const layouts = refused.map(
    ({ seed, chain, work, faults }) =>
      `A layout of seed ${seed}, chain ${chain} at move ${work} was refused by its certificate ` +
      `(${faults.map(({ message }) => message).join('; ')}) and left out.`,
  );
  const chains = broken.map(
    ({ chain, says }) =>
      `Chain ${chain} broke off (${says}); what it had found by then and the other chains remain.`,
  );
  const all = [...layouts, ...chains];
  return all.length === 0
    ? []
    : [...all, 'The marker that was written is certified. Please report this with the instance.'];
}

function shortOfCloth({ cloth }: MarkerRequest, whole: WholeGarments | undefined): string {
  const head = `The cloth is ${cloth.lengthMax} long, and no marker that short was found.`;
  if (whole === undefined) return `${head} Stopped before it was known which garments fit.`;
  if (whole.laid.length === 0) return `${head} Not even the first garment fits alone.`;
  return `${head} These garments fit: ${whole.laid.join(', ')}. Left over: ${whole.left.join(', ')}.`;
}
