import { WebhookError } from './webhook-error.js';

export type WebhookSubject = 'draft' | 'check' | 'marker';
export type EndState = 'ready' | 'needs_attention' | 'failed' | 'cancelled';

export interface WebhookEvent {
  readonly subject: WebhookSubject;
  /** The draft's, check's or marker's id. */
  readonly id: string;
  readonly state: EndState;
  /** When it came to this state; the same over all attempts. */
  readonly at: Date;
  /** The caller's own order line, echoed. */
  readonly reference: string | undefined;
  /** The sender's own ids of what was checked, echoed. */
  readonly styleId?: string | undefined;
  readonly versionId?: string | undefined;
  /** Rises with every event of one subject, so that a receiver can tell a late one from the latest. */
  readonly sequence: number;
  readonly findingCounts: { readonly info: number; readonly warning: number; readonly stop: number };
  /** Where the answer is fetched, by relation: self, files. With the receiver's own key, hence no secret here. */
  readonly links: Readonly<Record<string, string>>;
}

/** What Standard Webhooks calls a usual payload. */
const BODY_BYTES_MAX = 20_000;

/**
 * The body of a webhook: what happened and where to look, nothing of the pattern or the person.
 *
 * Built field by field, so that a field added elsewhere cannot slip into it. The text is the signed bytes: keep it,
 * and send the same on every attempt.
 */
export function webhookBody(event: WebhookEvent): string {
  const { subject, id, state, at, reference, styleId, versionId, sequence, findingCounts, links } = event;
  const { info, warning, stop } = findingCounts;
  const body = JSON.stringify({
    type: `${subject}.${state}`,
    timestamp: at.toISOString(),
    data: {
      [subject]: id,
      ...(reference === undefined ? {} : { reference }),
      ...(styleId === undefined ? {} : { styleId }),
      ...(versionId === undefined ? {} : { versionId }),
      state,
      sequence,
      findingCounts: { info, warning, stop },
      links,
    },
  });
  const bytes = Buffer.byteLength(body);
  if (bytes > BODY_BYTES_MAX) throw new WebhookError('BODY_TOO_LARGE', { bytes, bytesMax: BODY_BYTES_MAX });
  return body;
}
