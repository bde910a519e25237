import { SheetError } from './sheet-error.js';

/** A rectangle to be laid on paper, upright as it is. */
export interface Block {
  readonly widthMm: number;
  readonly heightMm: number;
}

/** The lower left corner of a block on its page. */
export interface LaidBlock {
  readonly page: number;
  readonly left: number;
  readonly bottom: number;
}

export interface Paper {
  readonly widthMm: number;
  /** The most a page can be long. */
  readonly lengthMm: number;
  readonly gapMm: number;
}

export interface Laid {
  /** In the order of the blocks. */
  readonly places: readonly LaidBlock[];
  /** What each page takes of its length. */
  readonly lengthsMm: readonly number[];
}

/** A step of the upper edge of what is laid: from `left` over `widthMm` at height `y`. */
interface Step {
  readonly left: number;
  readonly widthMm: number;
  readonly y: number;
}

/**
 * Blocks laid on pages one after the other, each at the lowest free place of the first page that takes it, and there
 * as far left as it goes.
 *
 * Shape   deterministic; not the least paper, but little: trouser pieces are few.
 * Errors  SheetError TOO_LARGE for a block that no page takes.
 */
export function layBlocks(blocks: readonly Block[], paper: Paper): Laid {
  const pages: Step[][] = [];
  const places: LaidBlock[] = [];
  for (const block of blocks) {
    if (block.widthMm > paper.widthMm || block.heightMm > paper.lengthMm)
      throw new SheetError('TOO_LARGE', { ...block, paperMm: [paper.widthMm, paper.lengthMm] });
    places.push(laidOn(pages, block, paper));
  }
  const lengthsMm = pages.map((_, page) =>
    Math.max(
      ...places.flatMap((place, i) => (place.page === page ? [place.bottom + blocks[i].heightMm] : [])),
    ),
  );
  return { places, lengthsMm };
}

function laidOn(pages: Step[][], block: Block, paper: Paper): LaidBlock {
  for (let page = 0; ; page++) {
    pages[page] ??= [{ left: 0, widthMm: paper.widthMm, y: 0 }];
    const place = lowestPlace(pages[page], block, paper);
    if (place === undefined) continue;
    pages[page] = raised(pages[page], block, place, paper);
    return { page, ...place };
  }
}

function lowestPlace(
  steps: readonly Step[],
  { widthMm, heightMm }: Block,
  paper: Paper,
): { readonly left: number; readonly bottom: number } | undefined {
  let best: { left: number; bottom: number } | undefined;
  for (const { left } of steps) {
    if (left + widthMm > paper.widthMm + 1e-9) continue;
    const under = steps.filter((step) => step.left < left + widthMm && step.left + step.widthMm > left);
    const bottom = Math.max(...under.map(({ y }) => y));
    if (bottom + heightMm > paper.lengthMm) continue;
    if (best === undefined || bottom < best.bottom) best = { left, bottom };
  }
  return best;
}

function raised(
  steps: readonly Step[],
  block: Block,
  { left, bottom }: { readonly left: number; readonly bottom: number },
  { widthMm, gapMm }: Paper,
): Step[] {
  const right = Math.min(widthMm, left + block.widthMm + gapMm);
  const kept = steps.flatMap((step): Step[] => {
    const end = step.left + step.widthMm;
    const before = { ...step, widthMm: Math.min(end, left) - step.left };
    const after = { ...step, left: Math.max(step.left, right), widthMm: end - Math.max(step.left, right) };
    return [before, after].filter((part) => part.widthMm > 1e-9);
  });
  const added = { left, widthMm: right - left, y: bottom + block.heightMm + gapMm };
  return [...kept, added].sort((a, b) => a.left - b.left);
}
