import type { YieldLimits } from '#drafting';
import type { FinishRules, Shrinkage } from '#finishing';
import type { EaseName, EaseOverrides } from '#fit';
import type { FittingSettings } from '#fitting';
import type { ClothToCut } from '#laying';
import type { Body } from '#measurements';
import type { DxfOptions } from '#interchange';
import type { GivenEdge, GivenNotch, Levels, PieceLine, PieceRole } from '#pattern';
import type { ParameterValues, Recipe } from '#recipes';
import type { SheetPaper, TileArea } from '#sheets';

/** What a draft is made from: parsed, every default in its place, lengths in mm. */
export interface DraftOrder {
  readonly body: Body;
  /** Drafted from the body, or a block from elsewhere. */
  readonly block: 'from-body' | ForeignBlock;
  /** How a block from elsewhere is fitted to the body; without it, it is used as it stands. */
  readonly fitting?: FittingSettings;
  readonly ease: { readonly name: EaseName; readonly overrides: EaseOverrides };
  /** How far a draft from the body may go from the tape; as far as it needs when left out. */
  readonly yielding?: YieldLimits;
  readonly alterations: readonly AlterationOrder[];
  readonly outputs: readonly DraftOutput[];
  readonly cloth?: ClothOrder;
  /** How the pieces are finished; without it they stay seam lines. */
  readonly finish?: FinishOrder;
  readonly reference?: string;
  /** The only date that files carry. */
  readonly dated?: string;
}

/** A block as somebody else drew it: in any direction, from any start, and not yet looked at. */
export interface ForeignBlock {
  readonly name: string;
  readonly levels: Levels;
  /** One front and one back. */
  readonly pieces: readonly ForeignPiece[];
  readonly waistbandMm?: number;
}

export interface ForeignPiece {
  readonly role: PieceRole;
  readonly edges: readonly GivenEdge[];
  readonly notches: readonly GivenNotch[];
  readonly lines: readonly PieceLine[];
}

/** A recipe, and what its parameters are. */
export interface AlterationOrder {
  /** The name of one that comes with the service; of a shop's own, what the files call it. */
  readonly use: string;
  /** Those left out take the recipe's defaults. */
  readonly with: ParameterValues;
  /** A shop's own, checked. */
  readonly recipe?: Recipe;
}

export interface ClothOrder {
  readonly name?: string;
  readonly widthMm?: number;
  readonly repeatMm?: number;
  readonly shrinkage?: Shrinkage;
  /** How far the cloth gives round the body, in per cent. */
  readonly stretchPercent?: number;
  /** How pieces may lie on it; for the draft's own marker. */
  readonly nap?: ClothToCut['nap'];
  readonly selvedgeMm?: number;
  readonly endMarginMm?: number;
  readonly gapMm?: number;
  readonly pricePerMetre?: number;
}

export interface FinishOrder {
  readonly rules: FinishRules;
  /** What sheet.pdf and plot.plt are laid on. */
  readonly paper: SheetPaper;
  readonly tileArea: TileArea;
  readonly dxf: DxfOptions;
}

export type DraftOutput =
  | 'proof'
  | 'pattern'
  | 'sheet'
  | 'tiles-a4'
  | 'tiles-letter'
  | 'tiles-a3'
  | 'tiles-tabloid'
  | 'dxf'
  | 'plot'
  | 'marker'
  | 'bundle';

/** Where a result comes from; stands in every file. */
export interface Provenance {
  /** Name and version of the engine. */
  readonly engine: string;
  /** SHA-256 of the canonical request. */
  readonly requestHash: string;
}
