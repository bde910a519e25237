import {
  DELIVERIES_QUERY,
  DELIVERY,
  DELIVERY_PAGE,
  PAGE_QUERY,
  WEBHOOK_ENDPOINT,
  WEBHOOK_ENDPOINT_CHANGE,
  WEBHOOK_ENDPOINT_PAGE,
  WEBHOOK_ENDPOINT_REQUEST,
} from '#contracts';
import { z } from 'zod';
import type { Operation } from './describe.js';
import { ENDPOINT_WITH_SECRET } from './openapi-examples-outward.js';

const ENDPOINTS = 'Webhook endpoints';

export const WEBHOOK_ENDPOINT_OPERATIONS = {
  create: {
    id: 'createWebhookEndpoint',
    tag: ENDPOINTS,
    summary: 'Have events sent to an address',
    description:
      'Signed as Standard Webhooks says, with the secret that only this answer shows. The webhook itself, and how to verify it, is described under Webhooks.',
    body: WEBHOOK_ENDPOINT_REQUEST,
    headers: ['Idempotency-Key'],
    answers: {
      201: {
        says: 'Events are sent there from now on.',
        schema: WEBHOOK_ENDPOINT,
        example: ENDPOINT_WITH_SECRET,
        headers: ['Location', 'Idempotency-Replayed'],
      },
    },
  },
  page: {
    id: 'listWebhookEndpoints',
    tag: ENDPOINTS,
    summary: 'List webhook endpoints, newest first',
    query: PAGE_QUERY,
    answers: { 200: { says: 'One page.', schema: WEBHOOK_ENDPOINT_PAGE } },
  },
  find: {
    id: 'getWebhookEndpoint',
    tag: ENDPOINTS,
    summary: 'Look at a webhook endpoint',
    params: { id: 'whe' },
    answers: { 200: { says: 'The endpoint, without its secret.', schema: WEBHOOK_ENDPOINT } },
  },
  change: {
    id: 'changeWebhookEndpoint',
    tag: ENDPOINTS,
    summary: 'Change a webhook endpoint',
    description:
      'What is left out stays. `enabled: true` takes an endpoint that was disabled into use again.',
    params: { id: 'whe' },
    body: WEBHOOK_ENDPOINT_CHANGE,
    answers: { 200: { says: 'It is changed.', schema: WEBHOOK_ENDPOINT } },
  },
  rotateSecret: {
    id: 'rotateWebhookSecret',
    tag: ENDPOINTS,
    summary: 'Make a new secret',
    description: 'The old one signs beside it for a day.',
    params: { id: 'whe' },
    headers: ['Idempotency-Key'],
    answers: {
      200: {
        says: 'The endpoint with its new secret.',
        schema: WEBHOOK_ENDPOINT,
        example: ENDPOINT_WITH_SECRET,
        headers: ['Idempotency-Replayed'],
      },
    },
  },
  remove: {
    id: 'deleteWebhookEndpoint',
    tag: ENDPOINTS,
    summary: 'Stop sending events to an address',
    params: { id: 'whe' },
    answers: { 204: { says: 'It is gone, with its deliveries.' } },
  },
} as const satisfies Record<string, Operation>;

export const DELIVERY_OPERATIONS = {
  page: {
    id: 'listDeliveries',
    tag: 'Deliveries',
    summary: 'List webhooks on their way, newest first',
    query: DELIVERIES_QUERY,
    answers: { 200: { says: 'One page.', schema: DELIVERY_PAGE } },
  },
  find: {
    id: 'getDelivery',
    tag: 'Deliveries',
    summary: 'Look at a delivery',
    params: { id: 'dlv' },
    answers: { 200: { says: 'The delivery with its attempts.', schema: DELIVERY } },
  },
  redeliver: {
    id: 'redeliver',
    tag: 'Deliveries',
    summary: 'Send a webhook again',
    description: 'With the same webhook-id, so that a receiver that has it knows it.',
    params: { id: 'dlv' },
    headers: ['Idempotency-Key'],
    answers: {
      202: { says: 'It is on its way again.', schema: DELIVERY, headers: ['Idempotency-Replayed'] },
    },
    problems: ['state-conflict'],
  },
} as const satisfies Record<string, Operation>;

const CHECK = z.enum(['ok', 'failed']);
const READINESS = z
  .strictObject({
    ready: z.boolean(),
    checks: z.strictObject({ database: CHECK, store: CHECK, outbox: z.enum(['ok', 'late', 'failed']) }).meta({
      id: 'ReadinessChecks',
      description:
        'What the service needs. A late outbox means that no worker runs; the API takes orders all the same.',
    }),
    outbox: z
      .strictObject({ waiting: z.int().min(0), oldestSeconds: z.int().min(0) })
      .meta({ id: 'OutboxBacklog', description: 'Messages that no worker has fetched.' }),
  })
  .meta({ id: 'Readiness', description: 'Whether the service can do its work.' });
const ALIVE = z
  .strictObject({ alive: z.literal(true) })
  .meta({ id: 'Alive', description: 'The process runs.' });

export const HEALTH_OPERATIONS = {
  alive: {
    id: 'isAlive',
    tag: 'Health',
    summary: 'Whether the process runs',
    access: 'open',
    answers: { 200: { says: 'It does.', schema: ALIVE } },
  },
  ready: {
    id: 'isReady',
    tag: 'Health',
    summary: 'Whether it can do its work',
    access: 'open',
    answers: {
      200: { says: 'It can.', schema: READINESS },
      503: { says: 'It cannot; checks tell why.', schema: READINESS },
    },
  },
  metrics: {
    id: 'getMetrics',
    tag: 'Health',
    summary: 'Metrics for Prometheus',
    access: 'open',
    answers: { 200: { says: 'The text format.', text: 'text/plain' } },
  },
} as const satisfies Record<string, Operation>;
