import { z } from 'zod';
import { DRAFT_FILE, DRAFT_STATES, FINDING, FINDING_COUNTS } from './draft-responses.js';
import { count, id, link, pageOf, time } from './response-parts.js';

export const MARKER_STATE = z
  .enum(DRAFT_STATES)
  .meta({ id: 'MarkerState', description: 'Where a marker stands; cancelled may still hold the best.' });

export const MARKER_PROGRESS = z
  .strictObject({
    stage: z.string().meta({ description: 'What is being worked on.' }),
    fraction: z.number().min(0).max(1).meta({ description: 'Done of the budget, 0 to 1.' }),
    lengthMm: z.number().optional().meta({ description: 'Shortest so far, all markers end to end, in mm.' }),
  })
  .meta({ id: 'MarkerProgress', description: 'How far the search has come.' });

export const DRAFT_ON_MARKER = z
  .strictObject({ draftId: id('drf'), quantity: z.int().min(1) })
  .meta({ id: 'DraftOnMarker', description: 'A draft and how many of it are laid.' });

export const LAID_MARKER = z
  .strictObject({
    cloth: z.string(),
    roll: z.string().optional(),
    garments: z.array(z.string()).meta({ description: 'References, numbered where a draft is laid twice.' }),
    pieces: count(),
    lengthMm: z.number().meta({ description: 'Length of the marker, in mm.' }),
    clothLengthMm: z.number().meta({ description: 'The same with its end allowance, in mm.' }),
    utilisation: z.number().min(0).max(1).meta({ description: 'Area of the pieces over that of the cloth.' }),
    lengthPerGarmentMm: z.number().meta({ description: 'Length over count of garments, in mm.' }),
    lowerBoundMm: z.number().meta({ description: 'No marker of these pieces is shorter, in mm.' }),
    pieceAreaMm2: z.number().meta({ description: 'Area of all pieces, in mm2.' }),
    perimeterMm: z.number().meta({ description: 'Length of all cut lines, in mm.' }),
    cost: z.number().optional().meta({ description: 'Where the cloth has a price per metre.' }),
    savedPercent: z.number().optional().meta({ description: 'Against the marker before, per garment.' }),
  })
  .meta({ id: 'LaidMarker', description: 'One certified marker in figures.' });

export const MARKER_RESULT = z
  .strictObject({
    endedBy: z.enum(['budget', 'time', 'cancelled']).meta({ description: 'What ended the search.' }),
    markers: z.array(LAID_MARKER),
    left: z
      .array(
        z
          .strictObject({ cloth: z.string(), garment: z.string() })
          .meta({ id: 'GarmentLeft', description: 'A garment that no roll had room for.' }),
      )
      .meta({ description: 'Garments that no roll had room for.' }),
    remnants: z
      .array(
        z
          .strictObject({
            cloth: z.string(),
            roll: z.string(),
            lengthMm: z.number().meta({ description: 'What remains, in mm.' }),
          })
          .meta({ id: 'Remnant', description: 'What remains of a roll.' }),
      )
      .meta({ description: 'What remains of each roll.' }),
  })
  .meta({ id: 'MarkerResult', description: 'Every marker of the order. Each has passed the certificate.' });

export const MARKER = z
  .strictObject({
    id: id('mrk'),
    state: MARKER_STATE,
    sequence: z.int().min(1).meta({ description: 'Goes up with every visible change.' }),
    progress: MARKER_PROGRESS.optional(),
    drafts: z.array(DRAFT_ON_MARKER),
    seconds: z.number().optional().meta({ description: 'The budget, when it is by the clock.' }),
    work: z.int().optional().meta({ description: 'The budget, when it is by moves a piece.' }),
    seed: z.int(),
    searches: z.int().meta({ description: 'Independent searches asked for; the best is kept.' }),
    startFrom: id('mrk').optional().meta({ description: 'The marker it began from.' }),
    cancelRequestedAt: time().optional(),
    findingCounts: FINDING_COUNTS,
    findings: z.array(FINDING).optional().meta({ description: 'Once it has a result.' }),
    result: MARKER_RESULT.optional().meta({ description: 'Once it has one; lists leave it out.' }),
    reference: z.string().optional().meta({ description: "The shop's own word for it." }),
    engineVersion: z.string().optional(),
    errorReason: z.string().optional().meta({ description: 'Why it failed.' }),
    createdAt: time(),
    updatedAt: time(),
    startedAt: time().optional(),
    finishedAt: time().optional(),
    links: z
      .strictObject({ self: link(), files: link(), events: link() })
      .meta({ id: 'MarkerLinks', description: 'Where the rest of a marker is.' }),
  })
  .meta({ id: 'Marker', description: 'Cut pieces of drafts laid on cloth, and how far it has come.' });

export const MARKER_FILES = z
  .strictObject({ items: z.array(DRAFT_FILE) })
  .meta({ id: 'MarkerFiles', description: 'The files of a marker, by name.' });

export const MARKER_PAGE = pageOf('MarkerPage', MARKER);

export type MarkerAnswer = z.output<typeof MARKER>;
