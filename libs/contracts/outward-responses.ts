import { z } from 'zod';
import { FINDING_COUNTS } from './draft-responses.js';
import { count, id, link, pageOf, time } from './response-parts.js';

export const EVENT_TYPES = [
  'draft.ready',
  'draft.needs_attention',
  'draft.failed',
  'draft.cancelled',
  'marker.ready',
  'marker.needs_attention',
  'marker.failed',
  'marker.cancelled',
  'check.ready',
  'check.needs_attention',
  'check.failed',
  'check.cancelled',
] as const;

export const WEBHOOK_ENDPOINT = z
  .strictObject({
    id: id('whe'),
    url: z.string(),
    eventTypes: z.array(z.enum(EVENT_TYPES)).meta({ description: 'Empty means every event.' }),
    enabled: z.boolean(),
    disabledReason: z.string().optional(),
    secret: z
      .string()
      .optional()
      .meta({ description: 'The signing secret; shown when it is made and never again.' }),
    createdAt: time(),
    updatedAt: time(),
    links: z
      .strictObject({ self: link() })
      .meta({ id: 'WebhookEndpointLinks', description: 'Where the endpoint is.' }),
  })
  .meta({ id: 'WebhookEndpoint', description: 'Where the events of a shop are sent.' });

/** What a receiver is sent; `draft`, `state` and counts say where to look, and nothing of the pattern or the person. */
export const WEBHOOK = z
  .strictObject({
    type: z.enum(EVENT_TYPES),
    timestamp: time(),
    data: z
      .strictObject({
        draft: id('drf').optional().meta({ description: 'What ended, of events of a draft.' }),
        marker: id('mrk').optional().meta({ description: 'What ended, of events of a marker.' }),
        check: id('chk').optional().meta({ description: 'What ended, of events of a check.' }),
        state: z.enum(['ready', 'needs_attention', 'failed', 'cancelled']),
        sequence: z.int().min(1).meta({ description: 'As in what ended: the higher one is the later one.' }),
        findingCounts: FINDING_COUNTS,
        reference: z.string().optional().meta({ description: 'Your own order line.' }),
        styleId: z
          .string()
          .optional()
          .meta({ description: 'Your own id of the style, of events of a check.' }),
        versionId: z
          .string()
          .optional()
          .meta({ description: 'Your own id of this state of the style, of events of a check.' }),
        links: z.strictObject({ self: link(), files: link() }).meta({
          id: 'WebhookLinks',
          description: 'What ended and its files, to be fetched with your API key.',
        }),
      })
      .meta({ id: 'WebhookData', description: 'What ended, and how.' }),
  })
  .meta({ id: 'Webhook', description: 'The body of a webhook.' });

export const DELIVERY_STATES = ['pending', 'delivered', 'failed', 'cancelled'] as const;

export const DELIVERY_STATE = z
  .enum(DELIVERY_STATES)
  .meta({ id: 'DeliveryState', description: 'Where a delivery stands.' });

export const DELIVERY_ATTEMPT = z
  .strictObject({
    attempt: z.int().min(1),
    startedAt: time(),
    durationMs: count(),
    statusCode: z.int().optional().meta({ description: "The receiver's HTTP status." }),
    error: z.string().optional().meta({ description: 'A code, when there was no answer.' }),
  })
  .meta({ id: 'DeliveryAttempt', description: 'What one attempt came to.' });

export const DELIVERY = z
  .strictObject({
    id: id('dlv'),
    endpointId: id('whe'),
    webhookId: z.string().meta({ description: 'The header webhook-id, the same on every attempt.' }),
    eventType: z.string(),
    draftId: id('drf').optional().meta({ description: 'The draft that the event is about.' }),
    markerId: id('mrk').optional().meta({ description: 'The marker that the event is about.' }),
    checkId: id('chk').optional().meta({ description: 'The check that the event is about.' }),
    state: DELIVERY_STATE,
    attempt: count().meta({ description: 'How often sending was begun.' }),
    nextAttemptAt: time().optional(),
    createdAt: time(),
    finishedAt: time().optional(),
    attempts: z.array(DELIVERY_ATTEMPT).optional().meta({ description: 'Lists leave them out.' }),
    links: z
      .strictObject({ self: link() })
      .meta({ id: 'DeliveryLinks', description: 'Where the delivery is.' }),
  })
  .meta({ id: 'Delivery', description: 'One event on its way to one endpoint.' });

export const WEBHOOK_ENDPOINT_PAGE = pageOf('WebhookEndpointPage', WEBHOOK_ENDPOINT);
export const DELIVERY_PAGE = pageOf('DeliveryPage', DELIVERY);

export type WebhookEndpointAnswer = z.output<typeof WEBHOOK_ENDPOINT>;
export type DeliveryAnswer = z.output<typeof DELIVERY>;
