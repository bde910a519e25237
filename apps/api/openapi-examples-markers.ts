import { SERVICE, DRAFT_ID, CREATED } from './openapi-example-parts.js';

const MARKER_ID = 'mrk_01KAYRE6F7G8H9J0K1M2N3P4QR';

const MARKER_REQUEST = {
  drafts: [{ draftId: DRAFT_ID, quantity: 2 }],
  cloths: [{ name: 'denim', width: '150 cm', nap: 'per-garment', gap: 2, pricePerMetre: 14.5 }],
  seconds: 30,
  searches: 2,
  reference: 'cut 17',
};

const MARKER = {
  id: MARKER_ID,
  state: 'ready',
  sequence: 120,
  progress: { stage: 'shortening', fraction: 1, lengthMm: 2512.40625 },
  drafts: [{ draftId: DRAFT_ID, quantity: 2 }],
  seconds: 30,
  seed: 1,
  searches: 2,
  findingCounts: { info: 0, warning: 1, stop: 0 },
  reference: 'cut 17',
  engineVersion: 'forkline 0.1.0',
  createdAt: CREATED,
  updatedAt: '2026-11-25T09:30:34.120Z',
  startedAt: CREATED,
  finishedAt: '2026-11-25T09:30:34.120Z',
  links: {
    self: `${SERVICE}/markers/${MARKER_ID}`,
    files: `${SERVICE}/markers/${MARKER_ID}/files`,
    events: `${SERVICE}/markers/${MARKER_ID}/events`,
  },
};

const MARKER_RESULT = {
  endedBy: 'budget',
  markers: [
    {
      cloth: 'denim',
      garments: ['order 1042 (1)', 'order 1042 (2)'],
      pieces: 14,
      lengthMm: 2512.40625,
      clothLengthMm: 2512.40625,
      utilisation: 0.741,
      lengthPerGarmentMm: 1256.203125,
      lowerBoundMm: 1861.6,
      pieceAreaMm2: 2792540,
      perimeterMm: 38120,
      cost: 36.43,
    },
  ],
  left: [],
  remnants: [],
};

/** What the reference shows of markers, by the name of the schema. */
export const MARKERS_EXAMPLES: Readonly<Record<string, unknown>> = {
  MarkerRequest: MARKER_REQUEST,
  Marker: { ...MARKER, result: MARKER_RESULT, findings: [] },
  MarkerPage: { items: [MARKER] },
  MarkerFiles: {
    items: [
      {
        name: 'marker.svg',
        bytes: 48210,
        sha256: '3c9909afec25354d551dae21590bb26e38d53f2173b8d3dc3eee4c047e7ab1c1',
        mediaType: 'image/svg+xml',
        href: `${SERVICE}/markers/${MARKER_ID}/files/marker.svg`,
      },
    ],
  },
};
