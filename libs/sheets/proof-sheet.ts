import type { Box } from './box.js';
import type { Mark, Sheet } from './display-list.js';
import { Page } from './page.js';
import { layColumn } from './proof-column.js';
import type { ProofContent } from './proof-content.js';
import { drawLevels, drawPieces, PROOF_LAYERS, type ProofPage } from './proof-drawing.js';
import { drawFindingSigns, numbered } from './proof-finding-signs.js';
import {
  drawMoves,
  labelDartsAndFly,
  labelMoves,
  labelPieces,
  labelSeams,
  pointMoves,
} from './proof-labels.js';
import { layLegend } from './proof-legend.js';
import { DRAWING, LEGEND, PAGE, planProof } from './proof-plan.js';
import type { SheetPlan } from './sheet-plan.js';
import { movedTable } from './proof-tables.js';
import { layTable } from './table.js';
import type { TextWidths } from './text-widths.js';

/**
 * The drawing a technician signs: before and after, what moved, every check with its numbers.
 *
 * Shape   A3 lying, 420 x 297 mm. Left the front, right of it the back mirrored, so that the forks face each other
 *         and each level runs through both; the column beside them holds the tables, findings, cautions, signature.
 * Edges   nothing overlaps or runs off the page: what does not fit is left out with a note that says where it is.
 *         Findings are numbered stops first; the drawing shows the numbers that the list has.
 * Errors  SheetError TOO_LARGE for pieces over ten metres. GeometryError LENGTH_OUT_OF_RANGE for a notch past its
 *         edge's end.
 * Cost    about 5 ms.
 */
export function proofSheet(content: ProofContent, widths: TextWidths): Sheet {
  const plan = planProof(content.after, content.before);
  const page: ProofPage = new Page(DRAWING, PROOF_LAYERS, widths);
  drawPieces(page, plan, content);
  const moves = drawMoves(page, plan, pointMoves(content));
  drawLevels(page, plan, content);
  const movedMarks = placeMovedTable(page, plan, content);
  const findings = numbered(content.findings);
  const where = movedMarks === undefined && content.moved.length > 0 ? 'in-column' : 'elsewhere';
  const column = layColumn(content, findings, plan.scale, where, widths);
  labelSeams(page, plan, content);
  labelPieces(page, plan, content);
  labelMoves(page, moves);
  drawFindingSigns(page, plan, content.after, column.findings.listed);
  labelDartsAndFly(page, plan, content);
  page.draw('legend', layLegend(LEGEND, plan.scale, page.drawnLayers(), widths));
  page.draw('tables', [...column.tables, ...column.findings.marks, ...(movedMarks ?? [])]);
  page.draw('notes', column.notes);
  return { ...PAGE, title: `Proof sheet ${content.facts.reference}`, layers: page.layers() };
}

const MOVED_WIDTHS_MM = [72, 62, 54, 46];
const MOVED_ROWS = [14, 10, 7, 4];
const MOVED_CLEAR_MM = 4;

/** The list of steps stands between the legs, where an outline that was altered at the fork leaves room. */
function placeMovedTable(page: ProofPage, plan: SheetPlan, content: ProofContent): Mark[] | undefined {
  if (content.moved.length === 0) return [];
  const { levels } = content.after;
  for (const rows of MOVED_ROWS) {
    for (const widthMm of MOVED_WIDTHS_MM) {
      const left = plan.middleX - widthMm / 2;
      const lay = (top: number): ReturnType<typeof layTable> =>
        layTable(movedTable(content.moved, rows), { left, right: left + widthMm, top }, page.widths);
      const { heightMm } = lay(0);
      for (const [low, high] of [
        [levels.hem, levels.knee],
        [levels.knee, levels.crotch],
      ]) {
        const middleY = (plan.levelY(low) + plan.levelY(high)) / 2;
        const box: Box = {
          centre: { x: plan.middleX, y: middleY },
          halfWidthMm: widthMm / 2 + MOVED_CLEAR_MM,
          halfHeightMm: heightMm / 2 + MOVED_CLEAR_MM / 2,
          angleRad: 0,
        };
        if (!page.room.isFree(box, 'all')) continue;
        page.room.addBox(box);
        return [...lay(middleY + heightMm / 2).marks];
      }
    }
  }
  return undefined;
}
