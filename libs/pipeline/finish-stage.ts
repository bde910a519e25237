import { finishBlock, type FinishedPattern, type Shrinkage } from '#finishing';
import { HPGL2_COORDINATE_MAX, writeDxf, writeHpgl, writeSvg } from '#interchange';
import { polygonArea } from '#geometry';
import type { Finding } from '#pattern';
import {
  cutSheets,
  PLEX_WIDTHS,
  SHEET_PAPERS,
  SheetError,
  tileSheets,
  type CutContent,
  type LayStyle,
  type Sheet,
  type SheetPaper,
  type TilePaper,
} from '#sheets';
import type { TruingRules } from '#truing';
import type { DraftOrder, FinishOrder, Provenance } from './draft-order.js';
import { markerStage } from './marker-stage.js';
import type { FinishedDraft, Print, TextFile } from './produce-draft.js';

/** Pieces ready to be cut, and the order they were finished by. */
export interface FinishStage {
  readonly order: FinishOrder;
  readonly shrinkage: Shrinkage;
  readonly pattern: FinishedPattern;
}

const NO_SHRINKAGE: Shrinkage = { warp: 0, weft: 0 };

/** The last stage: cut pieces, where the order asks for them. */
export function finishStage(
  order: DraftOrder,
  finished: FinishedDraft,
  truingRules: TruingRules,
): FinishStage | undefined {
  if (order.finish === undefined) return undefined;
  const shrinkage = order.cloth?.shrinkage ?? NO_SHRINKAGE;
  const pattern = finishBlock(finished.block, order.finish.rules, shrinkage, truingRules, finished.fixes);
  return { order: order.finish, shrinkage, pattern };
}

export function isShrinking({ warp, weft }: Shrinkage): boolean {
  return warp !== 0 || weft !== 0;
}

export interface CutFiles {
  readonly findings: readonly Finding[];
  /** Writes them; what is to be found has been found before. */
  written(): WrittenFiles;
}

export interface WrittenFiles {
  readonly files: readonly TextFile[];
  readonly prints: readonly Print[];
}

const TILES = {
  'tiles-a4': 'a4',
  'tiles-letter': 'letter',
  'tiles-a3': 'a3',
  'tiles-tabloid': 'tabloid',
} as const satisfies Record<string, TilePaper>;

/** The widest roll holds every trouser: what the drawing on screen is laid on. */
const SCREEN_PAPER = 'roll-1067';

/** Every file of cut pieces that the order asks for; laid where that may fail, and written when asked. */
export function cutFiles(order: DraftOrder, provenance: Provenance, stage: FinishStage): CutFiles {
  const content = cutContent(order, provenance, stage);
  const findings: Finding[] = [];
  const wants = (output: DraftOrder['outputs'][number]): boolean => order.outputs.includes(output);
  const laidOn = (paper: SheetPaper, style: LayStyle): readonly Sheet[] => {
    const laid = laidSheets(content, paper, style);
    if ('code' in laid) {
      findings.push(laid);
      return [];
    }
    return laid;
  };
  const screen = wants('pattern') ? laidOn(SCREEN_PAPER, 'upright').slice(0, 1) : [];
  const sheets = wants('sheet') || wants('plot') ? laidOn(stage.order.paper, 'close') : [];
  const marker = wants('marker') ? markerStage(order, provenance, stage.pattern.pieces) : undefined;
  findings.push(...(marker?.findings ?? []));
  return {
    findings,
    written: () => ({
      files: [
        ...screen.map((sheet) => ({ name: 'pattern.svg', text: writeSvg(sheet) })),
        ...(wants('dxf') ? [{ name: 'pattern.dxf', text: dxfOf(order, provenance, stage) }] : []),
        ...(wants('plot') ? plots(sheets) : []),
        ...(marker?.files ?? []),
      ],
      prints: [
        ...(wants('sheet') && sheets.length > 0 ? [{ name: 'sheet.pdf', sheets }] : []),
        ...(marker?.prints ?? []),
        ...tilePrints(order, content, stage.order.tileArea),
      ],
    }),
  };
}

function tilePrints(
  { outputs }: DraftOrder,
  content: CutContent,
  tileArea: FinishOrder['tileArea'],
): readonly Print[] {
  return Object.entries(TILES)
    .filter(([output]) => outputs.includes(output as keyof typeof TILES))
    .map(([output, paper]) => ({
      name: `${output}.pdf`,
      sheets: tileSheets(content, paper, tileArea, PLEX_WIDTHS),
    }));
}

/** The pieces on plotter paper, or why not. */
export function laidSheets(
  content: CutContent,
  paper: SheetPaper,
  style: LayStyle,
): readonly Sheet[] | Finding {
  const { widthMm, lengthMm }: { readonly widthMm: number; readonly lengthMm?: number } = SHEET_PAPERS[paper];
  const size = `${widthMm} mm wide${lengthMm === undefined ? '' : `, ${lengthMm} mm long`}`;
  try {
    return cutSheets(content, paper, PLEX_WIDTHS, style);
  } catch (error) {
    if (!(error instanceof SheetError)) throw error;
    return {
      code: 'PAPER_TOO_SMALL',
      level: 'warning',
      message: `A piece is larger than the paper ${paper} (${size}); nothing was laid on it.`,
      action: 'Order a wider paper, or tiles.',
      pointer: '/finish/paper',
    };
  }
}

function plots(sheets: readonly Sheet[]): TextFile[] {
  const windows = sheets.flatMap((sheet) => writeHpgl(sheet, { coordinateMax: HPGL2_COORDINATE_MAX }));
  return windows.map(({ text }, i) => ({ name: i === 0 ? 'plot.plt' : `plot-${i + 1}.plt`, text }));
}

function dxfOf(order: DraftOrder, { engine }: Provenance, { order: finish, pattern }: FinishStage): string {
  return writeDxf(
    {
      styleName: order.reference ?? order.body.ref,
      author: `forkline;pattern;${engine.split(' ').at(-1) ?? ''}`,
      sampleSize: 'MTM',
      material: order.cloth?.name ?? 'shell',
      pieces: pattern.pieces,
      ...(order.dated === undefined ? {} : { dated: order.dated }),
    },
    finish.dxf,
  );
}

const PERCENT = 100;

export function cutContent(
  order: DraftOrder,
  { engine, requestHash }: Provenance,
  { pattern, shrinkage }: FinishStage,
): CutContent {
  const percent = { warp: PERCENT * shrinkage.warp, weft: PERCENT * shrinkage.weft };
  return {
    reference: order.reference ?? order.body.ref,
    pieces: pattern.pieces,
    ...(order.cloth?.name === undefined ? {} : { clothName: order.cloth.name }),
    ...(isShrinking(shrinkage) ? { shrinkagePercent: rounded(percent) } : {}),
    provenance: { engine, requestHash, ...(order.dated === undefined ? {} : { dated: order.dated }) },
  };
}

// 3 percent comes through the door as 0.03, which times 100 is not 3.
function rounded({ warp, weft }: { readonly warp: number; readonly weft: number }): {
  readonly warp: number;
  readonly weft: number;
} {
  const digits = (value: number): number => Number(value.toFixed(3));
  return { warp: digits(warp), weft: digits(weft) };
}

/** What `draft.json` says of the cut pieces; their outlines are in the drawings. */
export function writtenCutPieces({ pattern }: FinishStage): unknown {
  return pattern.pieces.map(({ id, name, cut, quantity, cloth, sideWords, notches, drillHoles, runs }) => {
    const points = cut.map(({ at }) => at);
    const xs = points.map(({ x }) => x);
    const ys = points.map(({ y }) => y);
    return {
      id,
      name,
      quantity,
      cloth,
      ...(sideWords === undefined ? {} : { side: sideWords }),
      widthMm: Math.max(...xs) - Math.min(...xs),
      heightMm: Math.max(...ys) - Math.min(...ys),
      areaMm2: Math.abs(polygonArea(points)),
      allowances: runs.map(({ seam, widths }) => ({
        seam,
        fromMm: widths[0].widthMm,
        toMm: widths[widths.length - 1].widthMm,
      })),
      notches: notches.map((notch) => ({ name: notch.name, seam: notch.seam, depthMm: notch.depthMm })),
      drillHoles: drillHoles.length,
    };
  });
}
