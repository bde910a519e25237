import { toProblem, valueOf } from './issues-to-problems.js';
import { atMost, type Problem } from './problem.js';
import { readDraftRequestWith, type StoredParts } from './stored-parts.js';
import type { DraftRequestRead } from './draft-request.js';

/** Fields of a draft request that say what is written. */
const OF_WRITING = ['outputs', 'finish', 'reference', 'dated'] as const;

/** Read the request of a preview: a draft request without what is written. Every problem at once. */
export function readPreviewRequestWith(json: unknown, stored: StoredParts): DraftRequestRead {
  const problems = OF_WRITING.flatMap((name): Problem[] => {
    const found = valueOf(json, name);
    if (found === undefined) return [];
    return [
      toProblem([name], found, {
        code: 'UNKNOWN_FIELD',
        allowed: { form: 'left out' },
        says: 'stands in a preview, and a preview writes no files',
        action: 'Take it out, or send the request to /v1/drafts.',
      }),
    ];
  });
  const read = readDraftRequestWith(json, stored);
  if (read.ok) return problems.length === 0 ? read : { ok: false, problems };
  return { ok: false, problems: atMost([...problems, ...read.problems]) };
}
