import type { Box } from './box.js';
import type { Mark, Sheet } from './display-list.js';
import { Page } from './page.js';
import { layColumn, type ColumnTable } from './proof-column.js';
import { drawAdded } from './proof-added.js';
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
import { fitTable, movedTable } from './proof-tables.js';
import { layTable, stack, type Laid, type Strip, type Table } from './table.js';
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
  const placed = placeTables(page, plan, content);
  const findings = numbered(content.findings);
  const column = layColumn(content, findings, plan.scale, placed.inColumn, widths);
  labelSeams(page, plan, content);
  labelPieces(page, plan, content);
  labelMoves(page, moves);
  drawFindingSigns(page, plan, content.after, column.findings.listed);
  labelDartsAndFly(page, plan, content);
  drawAdded(page, plan, content);
  page.draw('legend', layLegend(LEGEND, plan.scale, page.drawnLayers(), widths));
  page.draw('tables', [...column.tables, ...column.findings.marks, ...placed.marks]);
  page.draw('notes', column.notes);
  return { ...PAGE, title: `Proof sheet ${content.facts.reference}`, layers: page.layers() };
}

const MOVED_WIDTHS_MM = [72, 62, 54, 46];
const MOVED_ROWS = [14, 10, 7, 4];
const MOVED_CLEAR_MM = 4;
const TABLES_GAP_MM = 3;
/** Where the middle of the tables may stand, on the way from hem to fork. */
const TABLE_PLACES = [0.38, 0.5, 0.44, 0.32, 0.56, 0.75];

/** Tables that stand in the drawing, and those that are left for the column. */
interface PlacedTables {
  readonly marks: readonly Mark[];
  readonly inColumn: readonly ColumnTable[];
}

/**
 * The fit figures and the list of steps stand between the legs, where an outline that was altered at the fork leaves
 * room: both, or the figures alone.
 */
function placeTables(page: ProofPage, plan: SheetPlan, content: ProofContent): PlacedTables {
  const hasMoved = content.moved.length > 0;
  const hasFit = content.fit.length > 0;
  const fit = hasFit ? [fitTable(content.fit, content.fit.length)] : [];
  for (const rows of hasMoved ? MOVED_ROWS : [0]) {
    const steps = hasMoved ? [movedTable(content.moved, rows)] : [];
    const marks = placeBetweenLegs(page, plan, content, [...fit, ...steps]);
    if (marks !== undefined) return { marks, inColumn: [] };
  }
  const alone = hasMoved && hasFit ? placeBetweenLegs(page, plan, content, fit) : undefined;
  if (alone !== undefined) return { marks: alone, inColumn: ['moved'] };
  return {
    marks: [],
    inColumn: [...(hasFit ? ['fit' as const] : []), ...(hasMoved ? ['moved' as const] : [])],
  };
}

/** Tables under each other as one box, at the first place and width that is free; undefined where there is none. */
function placeBetweenLegs(
  page: ProofPage,
  plan: SheetPlan,
  { after: { levels } }: ProofContent,
  tables: readonly Table[],
): Mark[] | undefined {
  if (tables.length === 0) return [];
  for (const widthMm of MOVED_WIDTHS_MM) {
    const left = plan.middleX - widthMm / 2;
    const lay = (top: number): Laid =>
      stack(
        tables.map((table) => (strip: Strip) => layTable(table, strip, page.widths)),
        { left, right: left + widthMm, top },
        TABLES_GAP_MM,
      );
    const { heightMm } = lay(0);
    for (const levelMm of TABLE_PLACES.map((share) => levels.hem + share * (levels.crotch - levels.hem))) {
      const middleY = plan.levelY(levelMm);
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
  return undefined;
}
