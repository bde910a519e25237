import { writeSync } from 'node:fs';
import { CHECK_DEFAULTS, checkContent, checkPattern, correctPattern } from '#checking';
import { writeSvg } from '#interchange';
import { checkSheet, PLEX_WIDTHS } from '#sheets';
import { byDxf, byWriter, drawnPieces } from './drawn-otherwise.js';
import { numbersFrom } from './random-numbers.js';
import { HOSTILE, mutated } from './hostile-dxf.js';
import { HOSTILE_LARGE } from './hostile-large-dxf.js';
import { dxfOf } from './dxf-of.js';
import { soundPatterns } from './sound-patterns.js';
import { surveyBodies } from './survey-bodies.js';

// A process of its own, so that its memory can be bounded and measured, and so that a file that hangs ends it and not the
// tests: node --max-old-space-size=400 hostile-batch.js '{"seed":1,"mutants":100,"each":2,"large":true}'. Which file it is
// at stands last in what it writes to the error stream.

export interface BatchOrder {
  readonly seed: number;
  readonly mutants: number;
  /** Files of each hostile kind. */
  readonly each: number;
  /** Whether files at the limits are among them. */
  readonly large: boolean;
}

export interface BatchResult {
  readonly answered: number;
  /** Of those, how many were judged as a trouser, corrections, sheet and all. */
  readonly asTrouser: number;
  readonly findings: number;
  /** Processor time of the slowest, threads of the collector with it. */
  readonly slowest: { readonly file: string; readonly cpuMs: number };
  readonly peakMb: number;
  /** What should not have been, by file. */
  readonly wrong: readonly string[];
}

const REPORT_CHARACTERS_MAX = 2_000_000;
const SAID_MAX = 20;

class Batch {
  private answered = 0;
  private asTrouser = 0;
  private findings = 0;
  private slowest = { file: '', cpuMs: 0 };
  private readonly wrong: string[] = [];

  /** A hostile file has to be found fault with; a mutant may be as good as what it was made of. */
  answer(file: string, text: string, isHostile: boolean): void {
    writeSync(2, `${file}\n`);
    const before = process.cpuUsage();
    try {
      const count = this.checked(text);
      if (isHostile && count === 0) this.say(`${file}: no finding`);
      this.answered += 1;
      this.findings += count;
    } catch (error) {
      this.say(`${file}: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`);
    }
    const { user, system } = process.cpuUsage(before);
    const cpuMs = Math.round((user + system) / 1000);
    writeSync(2, `  ${cpuMs} ms\n`);
    if (cpuMs > this.slowest.cpuMs) this.slowest = { file, cpuMs };
  }

  result(): BatchResult {
    const { answered, asTrouser, findings, slowest, wrong } = this;
    // In kilobytes, as getrusage gives it on Linux.
    const peakMb = Math.round(process.resourceUsage().maxRSS / 1024);
    return { answered, asTrouser, findings, slowest, peakMb, wrong };
  }

  /** The report, the sheet, and what is offered to be corrected, as the command line and the service make them. */
  private checked(text: string): number {
    const checked = checkPattern(text, CHECK_DEFAULTS);
    const { report } = checked;
    const written = JSON.stringify(report, (_, value: unknown) => {
      if (typeof value === 'number' && !Number.isFinite(value))
        throw new Error('a number that is not finite');
      return value;
    });
    if (written.length > REPORT_CHARACTERS_MAX) throw new Error(`a report of ${written.length} characters`);
    for (const { message, action } of report.findings)
      if (message === '' || action === '') throw new Error('a finding that says nothing');
    const svg = writeSvg(checkSheet(checkContent(checked, { engine: 'forkline' }), PLEX_WIDTHS));
    // Within tags only: a finding may quote a number that is none.
    if (/<[^>]*(NaN|Infinity|undefined)[^>]*>/.test(svg))
      throw new Error('a sheet with a number that is none');
    if (report.judged === 'trouser') {
      this.asTrouser += 1;
      const codes = report.corrections.map(({ code }) => code);
      if (codes.length > 0) correctPattern(text, CHECK_DEFAULTS, codes);
    }
    return report.findings.length;
  }

  private say(what: string): void {
    if (this.wrong.length < SAID_MAX) this.wrong.push(what);
  }
}

/** What mutants are made of: small files of every way to draw, and one in ten a whole pattern as we write it. */
function originals(seed: number): readonly string[] {
  const [{ pattern }] = soundPatterns(surveyBodies(), 1, numbersFrom(seed));
  const legs = pattern.pieces.filter(({ id }) => ['front', 'back', 'waistband'].includes(id));
  const sparse = legs.map((piece) => ({ ...piece, cut: piece.cut.filter((_, i) => i % 6 === 0) }));
  const drawn = drawnPieces(sparse).map((piece) => ({
    ...piece,
    sew: { ...piece.sew, points: piece.sew.points.filter((_, i) => i % 6 === 0) },
  }));
  const small = [dxfOf(sparse), byDxf(drawn, 'splines'), byWriter(drawn, 'lines')];
  return [...small, ...small, ...small, dxfOf(legs), byDxf(drawnPieces(legs), 'arcs and lines')];
}

function run({ seed, mutants, each, large }: BatchOrder): BatchResult {
  const batch = new Batch();
  for (const { name, text } of HOSTILE)
    for (let i = 0; i < each; i++) {
      const own = 1 + ((seed + 104_729 * i) % 2_147_483_646);
      batch.answer(`${name}, seed ${own}`, text(numbersFrom(own)), true);
    }
  if (large) for (const { name, text } of HOSTILE_LARGE) batch.answer(name, text(), true);
  const bases = mutants === 0 ? [] : originals(seed);
  for (let i = 0; i < mutants; i++) {
    const own = 1 + ((seed + 104_729 * i) % 2_147_483_646);
    batch.answer(`mutant ${i}, seed ${own}`, mutated(bases[i % bases.length], numbersFrom(own)), false);
  }
  return batch.result();
}

process.stdout.write(JSON.stringify(run(JSON.parse(process.argv[2]) as BatchOrder)));
