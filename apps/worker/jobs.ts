import { JOB_PAYLOADS, type MessageTopic } from '#contracts';
import { exponentialRetry } from '#queue';

/**
 * The database or the disk is away, or a draft took its thread down: four more tries within a minute. The waits
 * stay below the time after which a draft nobody works on is taken for lost.
 */
const SOON = exponentialRetry({
  firstMs: 1_000,
  factor: 3,
  attempts: 5,
  longestMs: 20_000,
  jitterFraction: 0.2,
});

/** Nothing but rows: worth trying for an hour, because nobody else would tell the shop. */
const PATIENT = exponentialRetry({
  firstMs: 1_000,
  factor: 2,
  attempts: 20,
  longestMs: 300_000,
  jitterFraction: 0.2,
});

/** Every job of the worker; the topics of the outbox are their names. */
export const JOBS = [
  { name: 'produce-draft', version: 1, payload: JOB_PAYLOADS['produce-draft'], retry: SOON },
  { name: 'make-export', version: 1, payload: JOB_PAYLOADS['make-export'], retry: SOON },
  { name: 'announce-draft', version: 1, payload: JOB_PAYLOADS['announce-draft'], retry: PATIENT },
  { name: 'lay-marker', version: 1, payload: JOB_PAYLOADS['lay-marker'], retry: SOON },
  { name: 'announce-marker', version: 1, payload: JOB_PAYLOADS['announce-marker'], retry: PATIENT },
  { name: 'check-pattern', version: 1, payload: JOB_PAYLOADS['check-pattern'], retry: SOON },
  { name: 'announce-check', version: 1, payload: JOB_PAYLOADS['announce-check'], retry: PATIENT },
  { name: 'deliver-webhook', version: 1, payload: JOB_PAYLOADS['deliver-webhook'], retry: SOON },
] as const;

export const JOB_NAMES: readonly MessageTopic[] = JOBS.map(({ name }) => name);
