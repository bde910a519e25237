import { SERVICE, DRAFT_ID, BODY_ID, CREATED, ENDED } from './openapi-example-parts.js';

export const DRAFT = {
  id: DRAFT_ID,
  state: 'ready',
  sequence: 5,
  findingCounts: { info: 1, warning: 0, stop: 0 },
  reference: 'order 1042',
  bodyId: BODY_ID,
  requestHash: '20e2cd2f8ca8fc99b65d8ef75c6886377bab5e8e6a3af15ede366b8c0a6af4b9',
  engineVersion: 'forkline 0.1.0',
  createdAt: CREATED,
  updatedAt: ENDED,
  startedAt: CREATED,
  finishedAt: ENDED,
  links: {
    self: `${SERVICE}/drafts/${DRAFT_ID}`,
    files: `${SERVICE}/drafts/${DRAFT_ID}/files`,
    events: `${SERVICE}/drafts/${DRAFT_ID}/events`,
  },
};

const TOKEN_ID = 'tok_01KAYRD5E6F7G8H9J0K1M2N3PQ';

const DRAFT_TOKEN = {
  id: TOKEN_ID,
  draftId: DRAFT_ID,
  createdAt: CREATED,
  expiresAt: '2026-11-25T10:30:00.000Z',
  links: {
    self: `${SERVICE}/draft-tokens/${TOKEN_ID}`,
    files: `${SERVICE}/drafts/${DRAFT_ID}/files`,
    exports: `${SERVICE}/drafts/${DRAFT_ID}/exports`,
  },
};

const { engineVersion: _engine, startedAt: _started, finishedAt: _finished, ...BEGUN } = DRAFT;

/** As it is answered before any work was done. */
export const ACCEPTED_DRAFT = {
  ...BEGUN,
  state: 'accepted',
  sequence: 1,
  findingCounts: { info: 0, warning: 0, stop: 0 },
  updatedAt: CREATED,
};

export const CANCELLED_DRAFT = {
  ...ACCEPTED_DRAFT,
  state: 'cancelled',
  sequence: 2,
  finishedAt: ENDED,
  updatedAt: ENDED,
};

/** What the reference shows of drafts, by the name of the schema. */
export const DRAFTS_EXAMPLES: Readonly<Record<string, unknown>> = {
  DraftRequest: {
    bodyId: BODY_ID,
    block: 'from-body',
    ease: 'regular',
    alterations: [{ use: 'drop-crotch', with: { drop: 0.5, frontRiseExtension: '15 mm', hemIn: '3/4 in' } }],
    outputs: ['proof', 'pattern'],
    reference: 'order 1042',
  },
  Draft: DRAFT,
  DraftPage: { items: [DRAFT], next: 'eyJhZnRlciI6ImRyZl8wMUtBWVI1VDNNOFEyVzRWNlg3WTlaMEFCQyJ9' },
  DraftFiles: {
    items: [
      {
        name: 'proof.svg',
        bytes: 84210,
        sha256: '9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08',
        mediaType: 'image/svg+xml',
        href: `${SERVICE}/drafts/${DRAFT_ID}/files/proof.svg`,
      },
    ],
  },
  DraftTokenRequest: { expiresInSeconds: 900 },
  DraftToken: { ...DRAFT_TOKEN, token: 'fkt_QmFzZTY0IG9mIHRoaXJ0eS10d28gcmFuZG9tIGJ5dGVz' },
  DraftTokenPage: { items: [DRAFT_TOKEN] },
  PreviewRequest: {
    bodyId: BODY_ID,
    block: 'from-body',
    alterations: [{ use: 'drop-crotch', with: { drop: 0.6 } }],
  },
  Preview: {
    answer: 'ready',
    pieces: [
      {
        role: 'front',
        edges: [
          {
            role: 'hem',
            line: [
              [-89.6, 30],
              [89.6, 30],
            ],
          },
        ],
      },
    ],
    levels: { hip: 835, crotch: 752, knee: 455, hem: 30 },
    measures: { waist: 755 },
    sewable: true,
    findings: [],
  },
};
