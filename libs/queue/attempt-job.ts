import type { JobDefinition, JobHandler, JobOutcome, JobContext, StoredJob } from './job-definition.js';
import { pointersOf } from './payload-problems.js';
import { thrownError } from './thrown-error.js';

/** Why a job was set aside for a person to look at. */
export type ParkReason =
  | 'PAYLOAD_INVALID'
  | 'REJECTED'
  | 'ATTEMPTS_EXHAUSTED'
  /** Its worker died again and again while it ran. */
  | 'STALLED_TOO_OFTEN';

/** What one attempt came to. */
export type AttemptVerdict =
  | { readonly kind: 'finished'; readonly outcome: JobOutcome }
  | { readonly kind: 'retry'; readonly error: Error }
  | { readonly kind: 'park'; readonly reason: ParkReason; readonly error: Error };

/** Check the stored payload again with the same schema, run the handler, and judge what came of it. */
export async function attemptJob(
  definition: JobDefinition,
  handler: JobHandler<unknown>,
  stored: StoredJob,
  context: JobContext,
): Promise<AttemptVerdict> {
  if (stored.version > definition.version) return judge(new NewerVersionError(stored.version), context);
  try {
    const payload = parsedPayload(definition, stored);
    return { kind: 'finished', outcome: await handler(payload, context) };
  } catch (thrown) {
    return judge(thrownError(thrown), context);
  }
}

function parsedPayload(definition: JobDefinition, stored: StoredJob): unknown {
  const { version, upgrade } = definition;
  const older = stored.version < version && upgrade !== undefined;
  const parsed = definition.payload.safeParse(
    older ? upgrade(stored.payload, stored.version) : stored.payload,
  );
  if (!parsed.success) throw new InvalidPayloadError(pointersOf(parsed.error));
  return parsed.data;
}

class InvalidPayloadError extends Error {
  override readonly name = 'InvalidPayloadError';
}

/** Written by a newer release while it is rolled out: a worker of that release will take it in time. */
class NewerVersionError extends Error {
  override readonly name = 'NewerVersionError';

  constructor(version: number) {
    super(`the job has version ${version}, newer than this worker knows`);
  }
}

function judge(error: Error, { attempt, attemptsMax }: JobContext): AttemptVerdict {
  if (error instanceof InvalidPayloadError) return { kind: 'park', reason: 'PAYLOAD_INVALID', error };
  if ('retryable' in error && error.retryable === false) return { kind: 'park', reason: 'REJECTED', error };
  if (attempt >= attemptsMax) return { kind: 'park', reason: 'ATTEMPTS_EXHAUSTED', error };
  return { kind: 'retry', error };
}
