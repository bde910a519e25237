import type { DropCrotchParameters } from '#alterations';
import type { EaseName, EaseOverrides } from '#fit';
import type { Body } from '#measurements';
import type { Block } from '#pattern';

/** What a draft is made from, parsed and in millimetres. */
export interface DraftOrder {
  readonly body: Body;
  readonly block: { readonly kind: 'from-body' } | { readonly kind: 'given'; readonly block: Block };
  readonly ease: { readonly name: EaseName; readonly overrides: EaseOverrides };
  readonly alterations: readonly AlterationOrder[];
  readonly outputs: readonly DraftOutput[];
  readonly cloth: 'plain' | 'repeat';
  readonly reference: string;
  readonly dated?: string;
}

export interface AlterationOrder {
  readonly use: 'drop-crotch';
  readonly with: DropCrotchParameters;
}

export const DRAFT_OUTPUTS = ['proof', 'pattern'] as const;
export type DraftOutput = (typeof DRAFT_OUTPUTS)[number];

/** Where a result comes from; stands in every file. */
export interface Provenance {
  readonly engine: string;
  readonly requestHash: string;
}
