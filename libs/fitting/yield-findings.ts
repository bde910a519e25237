import { inMm, type BlockFigures, type Finding } from '#pattern';
import { EQUATIONS, type Equation } from './equations.js';
import { lineName, MISSED, REACHED_MM } from './fit-findings.js';
import { mayYield } from './hold-line.js';
import type { FitSolution, FitTask } from './solve-fit.js';

/** A length that gave way to the block's own line, and which line that was. */
export interface YieldedMeasure {
  readonly measure: Equation;
  readonly askedMm: number;
  readonly gotMm: number;
  /** In trade words: "front hip to knee". */
  readonly lines: readonly string[];
}

/** Every length that gave way, in the order of `EQUATIONS`. */
export function yieldedMeasures(task: FitTask, solution: FitSolution, asked: BlockFigures): YieldedMeasure[] {
  return EQUATIONS.flatMap((measure, i): YieldedMeasure[] => {
    const missMm = solution.errors[i];
    if (Math.abs(missMm) <= REACHED_MM || !mayYield(task, measure, missMm)) return [];
    const { ready } = task;
    const names = solution.linesBefore[i].map(
      ({ role, index }) => `${role} ${lineName(ready[role].strands, index, ready.heights)}`,
    );
    const askedMm = asked[measure];
    return [{ measure, askedMm, gotMm: askedMm + missMm, lines: [...new Set(names)] }];
  });
}

/** A girth of the leg that gave way by less than this is style; further, or anywhere else, somebody should look. */
const STYLE_MM = 20;
const STYLE: readonly Equation[] = ['hem', 'knee'];

/** Two people with a tape differ by this; common practice, no source. */
const TAPE_MM = 3;

/** One finding for each length that gave way: asked, got, and the line that stopped it. */
export function yieldedFindings(yielded: readonly YieldedMeasure[]): Finding[] {
  return yielded.map(({ measure, askedMm, gotMm, lines }): Finding => {
    const missMm = gotMm - askedMm;
    const { measure: words } = MISSED[measure];
    const side = missMm < 0 ? 'under' : 'over';
    const stopped = lines.length === 0 ? 'its lines together' : lines.join(', ');
    const noteMm = STYLE.includes(measure) ? STYLE_MM : TAPE_MM;
    return {
      code: 'YIELDED_TO_LINE',
      level: Math.abs(missMm) <= noteMm ? 'info' : 'warning',
      message: `To keep the block's own line, the ${words} is ${inMm(Math.abs(missMm))} ${side} what was asked: ${inMm(askedMm)} asked, ${inMm(gotMm)} drawn; in its way: ${stopped}.`,
      action: `Take it as it is drawn, set fitting.keep to "measures" to reach it and let the line bend, or fit a block nearer this body's size.`,
      place: { part: measure },
      pointer: '/fitting/keep',
      numbers: { askedMm, gotMm, missMm },
    };
  });
}
