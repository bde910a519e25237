import { z } from 'zod';

/**
 * What leaves with a transaction through the outbox, by topic: who writes it and who acts on it must agree.
 *
 * A payload holds ids and words. What is meant is looked up by whoever receives it; the row itself says whose shop.
 */
export const MESSAGES = {
  /** A draft was accepted: draft it. Written by the API. */
  'produce-draft': z.strictObject({ version: z.literal(1), draftId: z.string() }),
  /** A print of a finished draft was asked for: render it. Written by the API. */
  'make-export': z.strictObject({ version: z.literal(1), exportId: z.string() }),
  /** A draft ended: make one delivery for each endpoint that listens. Written by whoever ended it. */
  'announce-draft': z.strictObject({
    version: z.literal(1),
    draftId: z.string(),
    event: z.enum(['draft.ready', 'draft.needs_attention', 'draft.failed', 'draft.cancelled']),
  }),
  /** Drafts are to be laid on cloth. Written by the API; with a chain by whoever lays it and could do with help. */
  'lay-marker': z.strictObject({
    version: z.literal(1),
    markerId: z.string(),
    attempt: z.int().min(1).optional(),
    chain: z.int().min(1).optional(),
  }),
  /** A marker ended: as for a draft. */
  'announce-marker': z.strictObject({
    version: z.literal(1),
    markerId: z.string(),
    event: z.enum(['marker.ready', 'marker.needs_attention', 'marker.failed', 'marker.cancelled']),
  }),
  /** A pattern from outside is to be checked. Written by the API. */
  'check-pattern': z.strictObject({ version: z.literal(1), checkId: z.string() }),
  /** A check ended: as for a draft. */
  'announce-check': z.strictObject({
    version: z.literal(1),
    checkId: z.string(),
    event: z.enum(['check.ready', 'check.needs_attention', 'check.failed', 'check.cancelled']),
  }),
  /** A delivery is due: send it. Written with the delivery, or when a shop asks for it again. */
  'deliver-webhook': z.strictObject({ version: z.literal(1), deliveryId: z.string() }),
} as const;

/** The same as jobs in the queue: the outbox row says whose shop, a job has to. */
export const JOB_PAYLOADS = {
  'produce-draft': MESSAGES['produce-draft'].extend({ shopId: z.string() }),
  'make-export': MESSAGES['make-export'].extend({ shopId: z.string() }),
  'announce-draft': MESSAGES['announce-draft'].extend({ shopId: z.string() }),
  'lay-marker': MESSAGES['lay-marker'].extend({ shopId: z.string() }),
  'announce-marker': MESSAGES['announce-marker'].extend({ shopId: z.string() }),
  'check-pattern': MESSAGES['check-pattern'].extend({ shopId: z.string() }),
  'announce-check': MESSAGES['announce-check'].extend({ shopId: z.string() }),
  'deliver-webhook': MESSAGES['deliver-webhook'].extend({ shopId: z.string() }),
} as const;

export type MessageTopic = keyof typeof MESSAGES;
export type MessagePayload<Topic extends MessageTopic> = z.output<(typeof MESSAGES)[Topic]>;
export type JobPayload<Topic extends MessageTopic> = z.output<(typeof JOB_PAYLOADS)[Topic]>;
