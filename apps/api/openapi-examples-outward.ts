import { SERVICE, DRAFT_ID, CREATED, ENDED } from './openapi-example-parts.js';
import { DRAFT } from './openapi-examples-drafts.js';

const ENDPOINT_ID = 'whe_01KAYQX9M8N7P6Q5R4S3T2V1W0';

const DELIVERY_ID = 'dlv_01KAYR9B2C3D4E5F6G7H8J9KMN';

const ENDPOINT = {
  id: ENDPOINT_ID,
  url: 'https://orders.example/hooks/forkline',
  eventTypes: ['draft.ready', 'draft.needs_attention'],
  enabled: true,
  createdAt: CREATED,
  updatedAt: CREATED,
  links: { self: `${SERVICE}/webhook-endpoints/${ENDPOINT_ID}` },
};

/** The secret is invented. */
export const ENDPOINT_WITH_SECRET = {
  ...ENDPOINT,
  secret: 'whsec_BKr1zoPa4UKJCl6dAXjWd/9lZNJ//4bVQhXSQfTYPO0=',
};

const DELIVERY = {
  id: DELIVERY_ID,
  endpointId: ENDPOINT_ID,
  webhookId: `evt_${DRAFT_ID.slice(4)}`,
  eventType: 'draft.ready',
  draftId: DRAFT_ID,
  state: 'delivered',
  attempt: 1,
  createdAt: ENDED,
  finishedAt: '2026-11-25T09:30:02.900Z',
  attempts: [{ attempt: 1, startedAt: '2026-11-25T09:30:02.600Z', durationMs: 212, statusCode: 204 }],
  links: { self: `${SERVICE}/deliveries/${DELIVERY_ID}` },
};

const { attempts: _attempts, ...DELIVERY_IN_LIST } = DELIVERY;

/** What the reference shows of webhooks and their deliveries, by the name of the schema. */
export const OUTWARD_EXAMPLES: Readonly<Record<string, unknown>> = {
  WebhookEndpointRequest: { url: ENDPOINT.url, eventTypes: ENDPOINT.eventTypes },
  WebhookEndpointChange: { eventTypes: ['draft.failed'] },
  WebhookEndpoint: ENDPOINT,
  WebhookEndpointPage: { items: [ENDPOINT] },
  Delivery: DELIVERY,
  DeliveryPage: { items: [DELIVERY_IN_LIST] },
  Webhook: {
    type: 'draft.ready',
    timestamp: ENDED,
    data: {
      draft: DRAFT_ID,
      state: 'ready',
      sequence: DRAFT.sequence,
      findingCounts: DRAFT.findingCounts,
      reference: DRAFT.reference,
      links: { self: DRAFT.links.self, files: DRAFT.links.files },
    },
  },
};
