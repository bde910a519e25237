import { INSIDE_LEG_WAYS, MEASURE_NAMES, SEXES } from '#measurements';
import { z } from 'zod';
import { EXPORT_LAYERS, EXPORT_PAPERS } from './export-words.js';
import { count, id, link, pageOf, time } from './response-parts.js';

/** What the service answers with. Every answer is built field by field, and tests hold it to these. */

export const DRAFT_STATES = [
  'accepted',
  'working',
  'ready',
  'needs_attention',
  'failed',
  'cancelled',
] as const;

export const EVENT_TYPES = [
  'draft.ready',
  'draft.needs_attention',
  'draft.failed',
  'draft.cancelled',
  'marker.ready',
  'marker.needs_attention',
  'marker.failed',
  'marker.cancelled',
  'check.ready',
  'check.needs_attention',
  'check.failed',
  'check.cancelled',
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

export const BODY_MEASURES = z
  .strictObject(
    Object.fromEntries(MEASURE_NAMES.map((name) => [name, z.number().optional()])) as Record<
      (typeof MEASURE_NAMES)[number],
      z.ZodOptional<z.ZodNumber>
    >,
  )
  .meta({ id: 'BodyMeasures', description: 'Measures in mm, by their ISO 8559-1 names.' });

export const BODY_ANSWER = z
  .strictObject({
    id: id('bdy'),
    ref: z.string().meta({ description: "The shop's pseudonym for the person." }),
    sex: z.enum(SEXES).meta({ id: 'Sex', description: 'As the tables of ease and estimates know it.' }),
    insideLegTaken: z
      .enum(INSIDE_LEG_WAYS)
      .meta({ id: 'InsideLegTaken', description: 'How the inside leg was measured.' }),
    measures: BODY_MEASURES,
    corrections: z
      .array(
        z
          .strictObject({
            date: z.string(),
            use: z.string().meta({ description: 'What it changed: waist or centre-back.' }),
            with: z
              .strictObject({ by: z.number().meta({ description: 'In mm.' }) })
              .meta({ id: 'CorrectionAmount', description: 'By how much.' }),
          })
          .meta({ id: 'Correction', description: 'What one fitting taught.' }),
      )
      .meta({ description: 'Made on every block of this body, in this order.' }),
    createdAt: time(),
    updatedAt: time(),
    links: z.strictObject({ self: link() }).meta({ id: 'BodyLinks', description: 'Where the body is.' }),
  })
  .meta({ id: 'Body', description: 'The measures of one person under a pseudonym.' });

export const BLOCK_ANSWER = z
  .strictObject({
    id: id('blk'),
    name: z.string(),
    version: z.int().min(1).optional().meta({ description: 'The version that is shown; lists show none.' }),
    content: z
      .record(z.string(), z.unknown())
      .optional()
      .meta({ description: 'The block as it can be sent again; lists leave it out.' }),
    createdAt: time(),
    links: z
      .strictObject({ self: link(), versions: link() })
      .meta({ id: 'BlockLinks', description: 'Where the block and its versions are.' }),
  })
  .meta({ id: 'Block', description: 'A stored block. Its versions are never changed.' });

export const ALTERATION_PARAMETER = z
  .strictObject({
    name: z.string(),
    help: z.string().optional(),
    min: z.number().optional(),
    max: z.number().optional(),
    unit: z.string().optional(),
    oneOf: z.array(z.string()).optional(),
    default: z
      .union([z.number(), z.string()])
      .optional()
      .meta({ description: 'What it is when it is left out; missing where that depends on the block.' }),
  })
  .meta({ id: 'AlterationParameter', description: 'One amount or choice of an alteration.' });

export const ALTERATION_STATE = z
  .enum(['draft', 'published', 'retired'])
  .meta({ id: 'AlterationState', description: 'Where a version of an alteration stands.' });

export const ALTERATION = z
  .strictObject({
    name: z.string().meta({ description: 'What a request says in "use", alone or as "name@version".' }),
    title: z.string(),
    summary: z.string(),
    origin: z
      .enum(['house', 'shop'])
      .meta({ id: 'AlterationOrigin', description: 'Whether it came with the service or is your own.' }),
    state: ALTERATION_STATE,
    version: z
      .int()
      .min(1)
      .optional()
      .meta({ description: 'Of your own; those of the house go with the engine.' }),
    parameters: z.array(ALTERATION_PARAMETER),
    recipe: z
      .record(z.string(), z.unknown())
      .optional()
      .meta({ description: 'The recipe as it can be sent again; lists leave it out.' }),
    createdAt: time().optional(),
    publishedAt: time().optional(),
    retiredAt: time().optional(),
    links: z
      .strictObject({ self: link(), reading: link() })
      .meta({ id: 'AlterationLinks', description: 'Where the alteration and its readable form are.' }),
  })
  .meta({ id: 'Alteration', description: 'A recipe of pattern operations with parameters, in one version.' });

export const ALTERATIONS_ANSWER = z
  .strictObject({ items: z.array(ALTERATION) })
  .meta({ id: 'Alterations', description: 'The versions of an alteration.' });

const READ_STEP = z
  .strictObject({
    number: z.int().min(1).meta({ description: 'As problems and findings count.' }),
    depth: count().meta({ description: 'How many conditions it stands inside.' }),
    text: z.string(),
  })
  .meta({ id: 'ReadStep', description: 'One step in trade words.' });

export const ALTERATION_READING = z
  .strictObject({
    title: z.string(),
    summary: z.string(),
    needs: z.array(z.string()).meta({ description: 'What a block must have.' }),
    parameters: z.array(z.string()).meta({ description: 'Each amount with its default and its range.' }),
    steps: z.array(READ_STEP),
    text: z.string().meta({ description: 'All of it as lines, to be printed.' }),
  })
  .meta({ id: 'AlterationReading', description: 'A recipe as a technician reads it.' });

const STEP_CHANGE = z
  .strictObject({ before: READ_STEP.optional(), after: READ_STEP.optional() })
  .meta({ id: 'StepChange', description: 'A step that is new, gone or changed.' });

const AMOUNT_CHANGE = z
  .strictObject({ name: z.string(), before: z.string().optional(), after: z.string().optional() })
  .meta({
    id: 'AmountChange',
    description: 'An amount, or a line about the recipe, that is new, gone or changed.',
  });

export const ALTERATION_DIFFERENCE = z
  .strictObject({
    name: z.string(),
    from: z.int().min(1),
    to: z.int().min(1),
    same: z.boolean().meta({ description: 'Nothing differs.' }),
    about: z.array(AMOUNT_CHANGE).meta({ description: 'Title and summary.' }),
    parameters: z.array(AMOUNT_CHANGE),
    steps: z.array(STEP_CHANGE),
  })
  .meta({ id: 'AlterationDifference', description: 'What changed from one version to another.' });

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

export const WEBHOOK_ENDPOINT = z
  .strictObject({
    id: id('whe'),
    url: z.string(),
    eventTypes: z.array(z.enum(EVENT_TYPES)).meta({ description: 'Empty means every event.' }),
    enabled: z.boolean(),
    disabledReason: z.string().optional(),
    secret: z
      .string()
      .optional()
      .meta({ description: 'The signing secret; shown when it is made and never again.' }),
    createdAt: time(),
    updatedAt: time(),
    links: z
      .strictObject({ self: link() })
      .meta({ id: 'WebhookEndpointLinks', description: 'Where the endpoint is.' }),
  })
  .meta({ id: 'WebhookEndpoint', description: 'Where the events of a shop are sent.' });

/** What a receiver is sent; `draft`, `state` and counts say where to look, and nothing of the pattern or the person. */
export const WEBHOOK = z
  .strictObject({
    type: z.enum(EVENT_TYPES),
    timestamp: time(),
    data: z
      .strictObject({
        draft: id('drf').optional().meta({ description: 'What ended, of events of a draft.' }),
        marker: id('mrk').optional().meta({ description: 'What ended, of events of a marker.' }),
        check: id('chk').optional().meta({ description: 'What ended, of events of a check.' }),
        state: z.enum(['ready', 'needs_attention', 'failed', 'cancelled']),
        sequence: z.int().min(1).meta({ description: 'As in what ended: the higher one is the later one.' }),
        findingCounts: FINDING_COUNTS,
        reference: z.string().optional().meta({ description: 'Your own order line.' }),
        links: z.strictObject({ self: link(), files: link() }).meta({
          id: 'WebhookLinks',
          description: 'What ended and its files, to be fetched with your API key.',
        }),
      })
      .meta({ id: 'WebhookData', description: 'What ended, and how.' }),
  })
  .meta({ id: 'Webhook', description: 'The body of a webhook.' });

export const DELIVERY_STATES = ['pending', 'delivered', 'failed', 'cancelled'] as const;

export const DELIVERY_STATE = z
  .enum(DELIVERY_STATES)
  .meta({ id: 'DeliveryState', description: 'Where a delivery stands.' });

export const DELIVERY_ATTEMPT = z
  .strictObject({
    attempt: z.int().min(1),
    startedAt: time(),
    durationMs: count(),
    statusCode: z.int().optional().meta({ description: "The receiver's HTTP status." }),
    error: z.string().optional().meta({ description: 'A code, when there was no answer.' }),
  })
  .meta({ id: 'DeliveryAttempt', description: 'What one attempt came to.' });

export const DELIVERY = z
  .strictObject({
    id: id('dlv'),
    endpointId: id('whe'),
    webhookId: z.string().meta({ description: 'The header webhook-id, the same on every attempt.' }),
    eventType: z.string(),
    draftId: id('drf').optional().meta({ description: 'The draft that the event is about.' }),
    markerId: id('mrk').optional().meta({ description: 'The marker that the event is about.' }),
    checkId: id('chk').optional().meta({ description: 'The check that the event is about.' }),
    state: DELIVERY_STATE,
    attempt: count().meta({ description: 'How often sending was begun.' }),
    nextAttemptAt: time().optional(),
    createdAt: time(),
    finishedAt: time().optional(),
    attempts: z.array(DELIVERY_ATTEMPT).optional().meta({ description: 'Lists leave them out.' }),
    links: z
      .strictObject({ self: link() })
      .meta({ id: 'DeliveryLinks', description: 'Where the delivery is.' }),
  })
  .meta({ id: 'Delivery', description: 'One event on its way to one endpoint.' });

export const DRAFT_PAGE = pageOf('DraftPage', DRAFT);
export const MARKER_PAGE = pageOf('MarkerPage', MARKER);
export const EXPORT_PAGE = pageOf('ExportPage', EXPORT);
export const DRAFT_TOKEN_PAGE = pageOf('DraftTokenPage', DRAFT_TOKEN);
export const BODY_PAGE = pageOf('BodyPage', BODY_ANSWER);
export const BLOCK_PAGE = pageOf('BlockPage', BLOCK_ANSWER);
export const ALTERATION_PAGE = pageOf('AlterationPage', ALTERATION);
export const WEBHOOK_ENDPOINT_PAGE = pageOf('WebhookEndpointPage', WEBHOOK_ENDPOINT);
export const DELIVERY_PAGE = pageOf('DeliveryPage', DELIVERY);

export type DraftAnswer = z.output<typeof DRAFT>;
export type ExportAnswer = z.output<typeof EXPORT>;
export type MarkerAnswer = z.output<typeof MARKER>;
export type DraftTokenAnswer = z.output<typeof DRAFT_TOKEN>;
export type DraftFileAnswer = z.output<typeof DRAFT_FILE>;
export type BodyAnswer = z.output<typeof BODY_ANSWER>;
export type BlockAnswer = z.output<typeof BLOCK_ANSWER>;
export type AlterationAnswer = z.output<typeof ALTERATION>;
export type AlterationReadingAnswer = z.output<typeof ALTERATION_READING>;
export type AlterationDifferenceAnswer = z.output<typeof ALTERATION_DIFFERENCE>;
export type PreviewAnswer = z.output<typeof PREVIEW>;
export type WebhookEndpointAnswer = z.output<typeof WEBHOOK_ENDPOINT>;
export type DeliveryAnswer = z.output<typeof DELIVERY>;

/** A page of answers. */
export interface AnswerPage<Item> {
  readonly items: readonly Item[];
  readonly next?: string | undefined;
}
