import { SERVICE, DRAFT_ID, CREATED, ENDED } from './openapi-example-parts.js';

const EXPORT_ID = 'exp_01KAYRC4D5E6F7G8H9J0K1M2NP';

const EXPORT = {
  id: EXPORT_ID,
  draftId: DRAFT_ID,
  state: 'ready',
  sequence: 4,
  paper: 'a4-letter',
  layers: ['cut-line', 'notches', 'drill-holes', 'grain', 'labels'],
  pages: 34,
  pageWidthMm: 210,
  pageHeightMm: 297,
  file: {
    name: 'tiles-a4-letter.pdf',
    bytes: 412160,
    sha256: '5e884898da28047151d0e56f8dc6292773603d0d6aabbdd62a11ef721d1542d8',
    mediaType: 'application/pdf',
    href: `${SERVICE}/exports/${EXPORT_ID}/file`,
  },
  engineVersion: 'forkline 0.1.0',
  createdAt: CREATED,
  updatedAt: ENDED,
  startedAt: CREATED,
  finishedAt: ENDED,
  links: {
    self: `${SERVICE}/exports/${EXPORT_ID}`,
    draft: `${SERVICE}/drafts/${DRAFT_ID}`,
    events: `${SERVICE}/exports/${EXPORT_ID}/events`,
  },
};

/** What the reference shows of exports, by the name of the schema. */
export const EXPORTS_EXAMPLES: Readonly<Record<string, unknown>> = {
  ExportRequest: { paper: 'a4-letter', layers: EXPORT.layers },
  Export: EXPORT,
  ExportPage: { items: [EXPORT] },
};
