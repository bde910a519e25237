import type { z } from 'zod';
import type { RetryPolicy } from './retry-policy.js';

/**
 * What a job is, safe to import anywhere: whoever enqueues needs nothing of the worker's world.
 *
 * Plain readonly objects, listed once `as const`; the assertion is load-bearing, the names and payloads of the
 * union are inferred from it. A payload carries ids, never geometry and never a measure.
 */
export interface JobDefinition<Name extends string = string, Payload extends z.ZodType = z.ZodType> {
  /** Verb-noun, kebab-case: "produce-draft". */
  readonly name: Name;
  /** Raised when the payload's shape changes. */
  readonly version: number;
  readonly payload: Payload;
  readonly retry: RetryPolicy;
  /** Turns the payload of an older version into this one's. Without it, older jobs must still fit the schema. */
  readonly upgrade?: (payload: unknown, fromVersion: number) => unknown;
}

export type JobDefinitions = readonly JobDefinition[];

export type JobName<Jobs extends JobDefinitions> = Jobs[number]['name'];

export type DefinitionOf<Jobs extends JobDefinitions, Name extends JobName<Jobs>> = Extract<
  Jobs[number],
  { readonly name: Name }
>;

/** One job to enqueue: the discriminated union over all definitions. */
export type JobRequest<Jobs extends JobDefinitions> = {
  [Name in JobName<Jobs>]: {
    readonly name: Name;
    readonly payload: z.input<DefinitionOf<Jobs, Name>['payload']>;
  };
}[JobName<Jobs>];

/** "skipped" is a success: somebody else did it already, or there is nothing left to do. */
export type JobOutcome = 'done' | 'skipped';

export interface JobContext {
  readonly jobId: string;
  /** 1 for the first. A run lost to a killed worker is not counted, so a handler must bear being run again. */
  readonly attempt: number;
  readonly attemptsMax: number;
  /** Aborted when the worker gives up waiting at close, or when it has lost the job's lock to another worker. */
  readonly signal: AbortSignal;
}

export type JobHandler<Payload> = (payload: Payload, context: JobContext) => Promise<JobOutcome>;

/** Exactly one handler for every job. */
export type JobHandlers<Jobs extends JobDefinitions> = {
  readonly [Name in JobName<Jobs>]: JobHandler<z.output<DefinitionOf<Jobs, Name>['payload']>>;
};

/** What lies in the queue: the version tells a worker of another release what it is looking at. */
export interface StoredJob {
  readonly version: number;
  readonly payload: unknown;
}
