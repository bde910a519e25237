import type { ApiKeyId } from './ids.js';
import { present } from './present.js';
import type { WorkProgress } from './work-moves.js';

/** `accepted -> working -> ready | needs_attention | failed | cancelled`; `accepted` may also be cancelled. */
export type WorkState = 'accepted' | 'working' | 'ready' | 'needs_attention' | 'failed' | 'cancelled';

export interface FindingCounts {
  readonly info: number;
  readonly warning: number;
  readonly stop: number;
}

/** What is kept of all work that is asked for and followed: drafts, prints, markers, checks. */
export interface StoredWork<State extends WorkState = WorkState> {
  readonly state: State;
  /** How often work was begun. Whoever works on it holds this number; an older one has lost it. */
  readonly attempt: number;
  /** Goes up with every visible change, so that events can be put in order and repeats known. */
  readonly sequence: number;
  readonly progress?: WorkProgress;
  /** Why it failed, in words for the shop. Never measures. */
  readonly errorReason?: string;
  readonly engineVersion?: string;
  readonly createdAt: Date;
  readonly updatedAt: Date;
  readonly startedAt?: Date;
  readonly finishedAt?: Date;
}

/** The same of work that a shop asks for by itself and that comes to findings. */
export interface FoundWork extends StoredWork {
  readonly apiKeyId?: ApiKeyId;
  readonly findingCounts: FindingCounts;
  /** The shop's order line. */
  readonly reference?: string;
}

export const WORK_COLUMNS = {
  state: true,
  attempt: true,
  sequence: true,
  stage: true,
  fraction: true,
  errorReason: true,
  engineVersion: true,
  createdAt: true,
  updatedAt: true,
  startedAt: true,
  finishedAt: true,
} as const;

export const FOUND_COLUMNS = {
  ...WORK_COLUMNS,
  apiKeyId: true,
  findingsInfo: true,
  findingsWarning: true,
  findingsStop: true,
  reference: true,
} as const;

interface WorkRow {
  readonly state: string;
  readonly attempt: number;
  readonly sequence: number;
  readonly stage: string | null;
  readonly fraction: number | null;
  readonly errorReason: string | null;
  readonly engineVersion: string | null;
  readonly createdAt: Date;
  readonly updatedAt: Date;
  readonly startedAt: Date | null;
  readonly finishedAt: Date | null;
}

interface FoundRow extends WorkRow {
  readonly apiKeyId: string | null;
  readonly findingsInfo: number;
  readonly findingsWarning: number;
  readonly findingsStop: number;
  readonly reference: string | null;
}

export function toWork<State extends WorkState>(row: WorkRow): StoredWork<State> {
  const { attempt, sequence, stage, fraction, createdAt, updatedAt } = row;
  const { errorReason, engineVersion, startedAt, finishedAt } = row;
  return {
    state: row.state as State,
    attempt,
    sequence,
    createdAt,
    updatedAt,
    ...present({
      progress: stage === null || fraction === null ? null : { stage, fraction },
      errorReason,
      engineVersion,
      startedAt,
      finishedAt,
    }),
  };
}

export function toFoundWork(row: FoundRow): FoundWork {
  const { findingsInfo, findingsWarning, findingsStop, apiKeyId, reference } = row;
  return {
    ...toWork(row),
    findingCounts: { info: findingsInfo, warning: findingsWarning, stop: findingsStop },
    ...present({ apiKeyId: apiKeyId as ApiKeyId | null, reference }),
  };
}
