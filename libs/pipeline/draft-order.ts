import type { DropCrotchParameters } from '#alterations';
import type { EaseName, EaseOverrides } from '#fit';
import type { Curve } from '#geometry';
import type { Body } from '#measurements';
import type { EdgeRole, Levels, PieceLine, PieceRole } from '#pattern';

/** What a draft is made from: parsed, every default in its place, lengths in mm. */
export interface DraftOrder {
  readonly body: Body;
  /** Drafted from the body, or a block from elsewhere that is used as it stands. */
  readonly block: 'from-body' | ForeignBlock;
  readonly ease: { readonly name: EaseName; readonly overrides: EaseOverrides };
  readonly alterations: readonly AlterationOrder[];
  readonly outputs: readonly DraftOutput[];
  readonly cloth?: { readonly repeatMm?: number };
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
  readonly edges: readonly { readonly role: EdgeRole; readonly curve: Curve; readonly id?: string }[];
  readonly notches: readonly {
    readonly edge: number;
    readonly fromStartMm: number;
    readonly kind: 'slit' | 'v';
    readonly name?: string;
  }[];
  readonly lines: readonly PieceLine[];
}

export interface AlterationOrder {
  readonly use: 'drop-crotch';
  readonly with: DropCrotchParameters;
}

export type DraftOutput = 'proof' | 'pattern';

/** Where a result comes from; stands in every file. */
export interface Provenance {
  /** Name and version of the engine. */
  readonly engine: string;
  /** SHA-256 of the canonical request. */
  readonly requestHash: string;
}
