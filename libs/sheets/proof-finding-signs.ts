import { pointAt, type Point } from '#geometry';
import { curvesOf, dartsOf, pieceOf, seamAtLevel, type EdgeRole, type Finding } from '#pattern';
import { isWithin } from './box.js';
import { circle, fillMark } from './display-list.js';
import { placeNear } from './label-places.js';
import { FOLLOWED_POINTS, followedPoints, linesOf } from './piece-lines.js';
import type { DrawnPieces } from './proof-content.js';
import type { ProofPage } from './proof-drawing.js';
import { DRAWING } from './proof-plan.js';
import type { SheetPlan } from './sheet-plan.js';
import { findingSign, SIGN_HALF_MM } from './signs.js';

/** A finding with the number it carries in the list and on the drawing. */
export interface NumberedFinding {
  readonly number: number;
  readonly finding: Finding;
}

const LEVEL_ORDER = { stop: 0, warning: 1, info: 2 } as const;

/** Stops first, then warnings, then infos, each in the order given. */
export function numbered(findings: readonly Finding[]): NumberedFinding[] {
  return [...findings]
    .sort((a, b) => LEVEL_ORDER[a.level] - LEVEL_ORDER[b.level])
    .map((finding, i) => ({ number: i + 1, finding }));
}

/** Put the listed findings' signs at their places. A finding without a place on a piece is in the list only. */
export function drawFindingSigns(
  page: ProofPage,
  plan: SheetPlan,
  after: DrawnPieces,
  listed: readonly NumberedFinding[],
): void {
  for (const { number, finding } of listed) {
    const role = finding.place?.piece ?? 'front';
    const place = placeOf(finding, after);
    if (place === undefined) continue;
    const point = plan.toPage(role, place);
    if (!isWithin({ left: point.x, right: point.x, bottom: point.y, top: point.y }, DRAWING)) continue;
    const outwards = Math.atan2(
      point.y - plan.levelY(after.levels.crotch),
      point.x - plan.toPage(role, { x: 0, y: 0 }).x,
    );
    const placed = placeNear(page.room, point, SIGN_HALF_MM, SIGN_HALF_MM, outwards);
    if (placed === undefined) continue;
    if (placed.leader !== undefined) {
      page.draw('findings', [placed.leader]);
      page.room.addCurves(placed.leader.curves, 'fine');
    }
    page.draw('findings', [fillMark(circle(point, 0.5), 'black')]);
    page.draw('findings', findingSign(finding.level, number, placed.centre, page.widths));
    page.room.addBox({
      centre: placed.centre,
      halfWidthMm: SIGN_HALF_MM,
      halfHeightMm: SIGN_HALF_MM,
      angleRad: 0,
    });
  }
}

/** Where a finding is on its piece: the point it names, else the part it names. */
function placeOf(finding: Finding, after: DrawnPieces): Point | undefined {
  const { place } = finding;
  if (place === undefined || (place.at === undefined && place.part === undefined)) return undefined;
  if (place.at !== undefined) return place.at;
  const piece = pieceOf(after, place.piece ?? 'front');
  const part = wordsOf(place.part ?? '');
  const followed = FOLLOWED_POINTS.find((name) => part === name || part.endsWith(` ${name}`));
  if (followed !== undefined) return followedPoints(piece, after.levels).get(followed);
  const role = SEAM_WORDS.find(([word]) => part.includes(word))?.[1];
  if (role !== undefined) return middleOf(curvesOf(piece, role));
  if (part.includes('dart')) return dartsOf(piece)[0]?.apex;
  if (part.includes('fly')) return middleOf(linesOf(piece, ['fly']));
  const level = (['hip', 'knee'] as const).find((name) => part.includes(name));
  return level === undefined ? undefined : seamAtLevel(piece, 'outseam', after.levels[level])?.point;
}

const SEAM_WORDS: readonly (readonly [word: string, role: EdgeRole])[] = [
  ['inseam', 'inseam'],
  ['outseam', 'outseam'],
  ['rise', 'rise'],
  ['centre front', 'rise'],
  ['centre back', 'rise'],
  ['waist', 'waist'],
  ['hem', 'hem'],
];

/** "sideWaist" and "side-waist" are the side waist. */
function wordsOf(part: string): string {
  return part
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .replace(/[-_]/g, ' ')
    .toLowerCase();
}

function middleOf(curves: Parameters<typeof pointAt>[0][]): Point | undefined {
  const middle = curves[Math.floor(curves.length / 2)];
  return middle === undefined ? undefined : pointAt(middle, 0.5);
}
