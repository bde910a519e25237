import { z } from 'zod';
import { count, id, link, pageOf, time } from './response-parts.js';

export const DRAFT_STATES = [
  'accepted',
  'working',
  'ready',
  'needs_attention',
  'failed',
  'cancelled',
] as const;

const FINDING_LEVELS = ['info', 'warning', 'stop'] as const;

export const DRAFT_STATE = z
  .enum(DRAFT_STATES)
  .meta({ id: 'DraftState', description: 'Where a draft stands.' });

export const FINDING_COUNTS = z
  .strictObject({ info: count(), warning: count(), stop: count() })
  .meta({ id: 'FindingCounts', description: 'How many findings of each level; a stop means do not cut.' });

export const DRAFT_PROGRESS = z
  .strictObject({
    stage: z.string().meta({ description: 'What is being worked on.' }),
    fraction: z.number().min(0).max(1).meta({ description: 'Done of the whole draft, 0 to 1.' }),
  })
  .meta({ id: 'DraftProgress', description: 'How far the work has come.' });

export const FINDING = z
  .strictObject({
    code: z.string().meta({ description: 'Stable name of what was found.' }),
    level: z.enum(FINDING_LEVELS),
    message: z.string().meta({ description: 'One sentence in trade words.' }),
    action: z.string().meta({ description: 'What to do about it.' }),
    pointer: z.string().optional().meta({ description: 'JSON pointer into the request that caused it.' }),
  })
  .meta({ id: 'Finding', description: 'One thing the service has to say about the pattern.' });

export const DRAFT_LINKS = z
  .strictObject({ self: link(), files: link(), events: link() })
  .meta({ id: 'DraftLinks', description: 'Where the rest of a draft is.' });

export const DRAFT = z
  .strictObject({
    id: id('drf'),
    state: DRAFT_STATE,
    sequence: z.int().min(1).meta({ description: 'Goes up with every visible change.' }),
    progress: DRAFT_PROGRESS.optional(),
    findingCounts: FINDING_COUNTS,
    findings: z.array(FINDING).optional().meta({ description: 'Once it is ready or needs attention.' }),
    reference: z.string().optional().meta({ description: "The shop's own order line." }),
    bodyId: id('bdy').optional(),
    blockId: id('blk').optional(),
    requestHash: z.string().meta({
      pattern: '^[0-9a-f]{64}$',
      description: 'SHA-256 of the request as it was understood (RFC 8785).',
    }),
    engineVersion: z.string().optional(),
    errorReason: z.string().optional().meta({ description: 'Why it failed.' }),
    createdAt: time(),
    updatedAt: time(),
    startedAt: time().optional(),
    finishedAt: time().optional(),
    links: DRAFT_LINKS,
  })
  .meta({ id: 'Draft', description: 'A made-to-measure job and how far it has come.' });

export const DRAFT_FILE = z
  .strictObject({
    name: z.string(),
    bytes: count(),
    sha256: z.string().meta({ pattern: '^[0-9a-f]{64}$' }),
    mediaType: z.string(),
    href: link(),
  })
  .meta({ id: 'DraftFile', description: 'One file of a finished draft.' });

export const DRAFT_FILES = z
  .strictObject({ items: z.array(DRAFT_FILE) })
  .meta({ id: 'DraftFiles', description: 'The files of a draft, by name.' });

export const DRAFT_TOKEN = z
  .strictObject({
    id: id('tok'),
    draftId: id('drf'),
    token: z
      .string()
      .optional()
      .meta({ description: 'What an app sends as its key; shown when it is made and never again.' }),
    createdAt: time(),
    expiresAt: time(),
    revokedAt: time().optional(),
    links: z
      .strictObject({ self: link(), files: link(), exports: link() })
      .meta({ id: 'DraftTokenLinks', description: 'The token, and what it opens.' }),
  })
  .meta({ id: 'DraftToken', description: 'Opens the cut files and prints of one draft for a while.' });

const PREVIEW_EDGE = z
  .strictObject({
    role: z.string(),
    line: z.array(z.array(z.number())).optional().meta({ description: 'Its two ends.' }),
    cubic: z.array(z.array(z.number())).optional().meta({ description: 'Ends and handles.' }),
  })
  .meta({ id: 'PreviewEdge', description: 'One edge of an outline, in mm.' });

export const PREVIEW = z
  .strictObject({
    answer: z
      .enum(['ready', 'stopped'])
      .meta({ id: 'PreviewAnswer', description: 'Stopped when a finding says do not cut.' }),
    pieces: z
      .array(
        z
          .strictObject({ role: z.string(), edges: z.array(PREVIEW_EDGE) })
          .meta({ id: 'PreviewPiece', description: 'One piece as its outline.' }),
      )
      .meta({ description: 'Front and back; none where no block could be made.' }),
    levels: z
      .record(z.string(), z.number())
      .optional()
      .meta({ description: 'Balance lines, in mm above the floor.' }),
    measures: z
      .record(z.string(), z.number())
      .optional()
      .meta({ description: 'Seams and girths of the pieces, in mm.' }),
    sewable: z.boolean().optional().meta({ description: 'Whether every deciding seam and corner agrees.' }),
    findings: z.array(FINDING),
  })
  .meta({ id: 'Preview', description: 'Pieces and findings of a draft that is not kept.' });

export const DRAFT_PAGE = pageOf('DraftPage', DRAFT);
export const DRAFT_TOKEN_PAGE = pageOf('DraftTokenPage', DRAFT_TOKEN);

export type DraftAnswer = z.output<typeof DRAFT>;
export type DraftTokenAnswer = z.output<typeof DRAFT_TOKEN>;
export type DraftFileAnswer = z.output<typeof DRAFT_FILE>;
export type PreviewAnswer = z.output<typeof PREVIEW>;
