import { z } from 'zod';

/** Jobs of the queue's contract suite; also read by the worker process that the suite kills. */
export const TEST_JOBS = [
  {
    name: 'write-note',
    version: 2,
    payload: z.strictObject({ noteId: z.string().startsWith('note_') }),
    retry: { delaysMs: [120, 240], jitterFraction: 0.5 },
    upgrade: (payload: unknown) => ({ noteId: `note_${(payload as { id: string }).id}` }),
  },
  {
    name: 'send-note',
    version: 1,
    payload: z.strictObject({ noteId: z.string(), to: z.string() }),
    retry: { delaysMs: [50], jitterFraction: 0 },
  },
] as const;
