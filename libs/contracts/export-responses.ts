import { z } from 'zod';
import { DRAFT_FILE } from './draft-responses.js';
import { EXPORT_LAYERS, EXPORT_PAPERS } from './export-words.js';
import { id, link, pageOf, time } from './response-parts.js';

export const EXPORT_STATE = z
  .enum(['accepted', 'working', 'ready', 'failed'])
  .meta({ id: 'ExportState', description: 'Where an export stands.' });

export const EXPORT_PROGRESS = z
  .strictObject({
    stage: z.string().meta({ description: 'What is being worked on.' }),
    fraction: z.number().min(0).max(1).meta({ description: 'Done of the whole export, 0 to 1.' }),
  })
  .meta({ id: 'ExportProgress', description: 'How far the print has come.' });

export const EXPORT = z
  .strictObject({
    id: id('exp'),
    draftId: id('drf'),
    state: EXPORT_STATE,
    sequence: z.int().min(1).meta({ description: 'Goes up with every visible change.' }),
    progress: EXPORT_PROGRESS.optional(),
    paper: z.enum(EXPORT_PAPERS).meta({ description: 'What it is printed on.' }),
    layers: z.array(z.enum(EXPORT_LAYERS)).meta({ description: 'Layers of the pieces that are drawn.' }),
    pages: z
      .int()
      .min(1)
      .optional()
      .meta({ description: 'Sheets of paper it takes, cover page included; known before the file is.' }),
    pageWidthMm: z.number().optional().meta({ description: 'Width of a page, in mm.' }),
    pageHeightMm: z
      .number()
      .optional()
      .meta({ description: 'Height of a page, in mm; of a roll, of the longest.' }),
    file: DRAFT_FILE.optional().meta({ description: 'Once it is ready.' }),
    engineVersion: z.string().optional(),
    errorReason: z.string().optional().meta({ description: 'Why it failed.' }),
    createdAt: time(),
    updatedAt: time(),
    startedAt: time().optional(),
    finishedAt: time().optional(),
    links: z
      .strictObject({ self: link(), draft: link(), events: link() })
      .meta({ id: 'ExportLinks', description: 'Where the rest of an export is.' }),
  })
  .meta({ id: 'Export', description: 'A print of a finished draft on a paper that is chosen afterwards.' });

export const EXPORT_PAGE = pageOf('ExportPage', EXPORT);

export type ExportAnswer = z.output<typeof EXPORT>;
