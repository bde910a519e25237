const SERVICE = 'https://patterns.example/v1';
const DRAFT_ID = 'drf_01KAYR5T3M8Q2W4V6X7Y9Z0ABC';
const BODY_ID = 'bdy_01KAYR2J5N7P9R1S3T4V6W8XYZ';
const BLOCK_ID = 'blk_01KAYQZ0A1B2C3D4E5F6G7H8JK';
const ENDPOINT_ID = 'whe_01KAYQX9M8N7P6Q5R4S3T2V1W0';
const DELIVERY_ID = 'dlv_01KAYR9B2C3D4E5F6G7H8J9KMN';
const CREATED = '2026-11-25T09:30:00.000Z';
const ENDED = '2026-11-25T09:30:02.480Z';

/** Measures of an invented body. */
const BODY_REQUEST = {
  ref: 'body-1042',
  sex: 'female',
  measures: {
    waistGirth: 740,
    hipGirth: '100 cm',
    totalCrotchLength: 720,
    waistHeight: 1040,
    insideLegLength: 765,
  },
};

const BODY = {
  id: BODY_ID,
  ...BODY_REQUEST,
  insideLegTaken: 'taped',
  measures: { ...BODY_REQUEST.measures, hipGirth: 1000 },
  corrections: [{ date: '2026-01-05', use: 'waist', with: { by: -10 } }],
  createdAt: CREATED,
  updatedAt: CREATED,
  links: { self: `${SERVICE}/bodies/${BODY_ID}` },
};

const DRAFT = {
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

const EXPORT_ID = 'exp_01KAYRC4D5E6F7G8H9J0K1M2NP';
const TOKEN_ID = 'tok_01KAYRD5E6F7G8H9J0K1M2N3PQ';

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

/** An outline of straight edges, as short as a block can be told; a real one has curves. */
const BLOCK_REQUEST = {
  name: 'W-classic',
  levels: { hip: 835, crotch: 746, knee: 455, hem: 30 },
  pieces: [
    {
      role: 'front',
      edges: [
        {
          role: 'rise',
          line: [
            [95, 1030],
            [150, 746],
          ],
        },
        {
          role: 'inseam',
          line: [
            [150, 746],
            [100, 30],
          ],
        },
        {
          role: 'hem',
          line: [
            [100, 30],
            [-100, 30],
          ],
        },
        {
          role: 'outseam',
          line: [
            [-100, 30],
            [-120, 1040],
          ],
        },
        {
          role: 'waist',
          line: [
            [-120, 1040],
            [95, 1030],
          ],
        },
      ],
    },
    {
      role: 'back',
      edges: [
        {
          role: 'rise',
          line: [
            [60, 1060],
            [210, 746],
          ],
        },
        {
          role: 'inseam',
          line: [
            [210, 746],
            [110, 30],
          ],
        },
        {
          role: 'hem',
          line: [
            [110, 30],
            [-110, 30],
          ],
        },
        {
          role: 'outseam',
          line: [
            [-110, 30],
            [-140, 1040],
          ],
        },
        {
          role: 'waist',
          line: [
            [-140, 1040],
            [60, 1060],
          ],
        },
      ],
    },
  ],
  waistband: { lengthMm: 760 },
};

const BLOCK = {
  id: BLOCK_ID,
  name: 'W-classic',
  version: 1,
  content: BLOCK_REQUEST,
  createdAt: CREATED,
  links: { self: `${SERVICE}/blocks/${BLOCK_ID}`, versions: `${SERVICE}/blocks/${BLOCK_ID}/versions` },
};

const ENDPOINT = {
  id: ENDPOINT_ID,
  url: 'https://orders.example/hooks/forkline',
  eventTypes: ['draft.ready', 'draft.needs_attention'],
  enabled: true,
  createdAt: CREATED,
  updatedAt: CREATED,
  links: { self: `${SERVICE}/webhook-endpoints/${ENDPOINT_ID}` },
};

/** The secret is invented. */
export const ENDPOINT_WITH_SECRET = {
  ...ENDPOINT,
  secret: 'whsec_BKr1zoPa4UKJCl6dAXjWd/9lZNJ//4bVQhXSQfTYPO0=',
};

const DELIVERY = {
  id: DELIVERY_ID,
  endpointId: ENDPOINT_ID,
  webhookId: `evt_${DRAFT_ID.slice(4)}`,
  eventType: 'draft.ready',
  draftId: DRAFT_ID,
  state: 'delivered',
  attempt: 1,
  createdAt: ENDED,
  finishedAt: '2026-11-25T09:30:02.900Z',
  attempts: [{ attempt: 1, startedAt: '2026-11-25T09:30:02.600Z', durationMs: 212, statusCode: 204 }],
  links: { self: `${SERVICE}/deliveries/${DELIVERY_ID}` },
};

const ALTERATION = {
  name: 'drop-crotch',
  title: 'Drop-crotch',
  origin: 'house',
  state: 'published',
  links: {
    self: `${SERVICE}/alterations/drop-crotch`,
    reading: `${SERVICE}/alterations/drop-crotch/reading`,
  },
  summary: 'Lowers the fork, lengthens both rises and redraws the inseams.',
  parameters: [
    { name: 'frontRiseExtension', min: 0, max: 100, unit: 'mm', default: 15 },
    { name: 'waist', oneOf: ['restore', 'leave'] },
  ],
};

const CHECK_ID = 'chk_01KAYRF7G8H9J0K1M2N3P4Q5RS';

const CHECK_FINDING = {
  number: 1,
  code: 'INSEAM_MISMATCH',
  level: 'stop',
  message: 'The back inseam is 3.0 mm longer than the front inseam.',
  action: 'Have it corrected, or spread it as ease.',
  place: { piece: 'BACK', part: 'inseam', at: { x: 112.5, y: 640 }, line: 412 },
  numbers: { differenceMm: 3 },
  tolerance: { value: 0.5, unit: 'mm' },
  basis: 'common practice, no source',
  correction: 'INSEAM_MISMATCH',
};

const CHECK = {
  id: CHECK_ID,
  state: 'needs_attention',
  sequence: 4,
  name: 'trouser-v3.dxf',
  findingCounts: { info: 0, warning: 0, stop: 1 },
  profiles: [{ name: 'shop', version: 2 }],
  judgedOn: '2026-11-25',
  correct: [],
  outputs: ['svg', 'pdf'],
  styleId: 'style-77',
  versionId: '3',
  engineVersion: 'forkline 0.1.0',
  createdAt: CREATED,
  updatedAt: ENDED,
  startedAt: CREATED,
  finishedAt: ENDED,
  links: {
    self: `${SERVICE}/checks/${CHECK_ID}`,
    files: `${SERVICE}/checks/${CHECK_ID}/files`,
    events: `${SERVICE}/checks/${CHECK_ID}/events`,
  },
};

const CHECK_RESULT = {
  sewable: false,
  judged: 'trouser',
  findings: [CHECK_FINDING],
  pieces: [{ piece: 'BACK', name: 'Back', kind: 'back', basis: 'name', confidence: 0.95 }],
  corrections: [{ code: 'INSEAM_MISMATCH', words: 'Shorten the back inseam.', part: 'inseam', byMm: 3 }],
  moved: [],
};

const RULES = {
  tolerances: { seamPair: '0.8 mm' },
  severities: [{ code: 'GRAIN_MISSING', level: 'stop' }],
  ignore: [{ code: 'NO_SEW_LINE', until: '2027-01-31', reason: 'Their exporter is being mended.' }],
};

const RULES_PROFILE = {
  name: 'shop',
  version: 2,
  ...RULES,
  createdAt: CREATED,
  updatedAt: CREATED,
  links: { self: `${SERVICE}/rules-profiles/shop` },
};

const RECIPE = {
  name: 'shorter-leg',
  title: 'Shorter leg',
  summary: 'Ends the leg higher.',
  unit: 'cm',
  parameters: [
    {
      name: 'by',
      quantity: 'length',
      default: 50,
      min: 0,
      max: 300,
      help: 'How much shorter the leg becomes.',
    },
  ],
  steps: [
    { let: 'newHem', is: 'level.hem + by' },
    {
      guard: 'newHem < level.knee - 60 mm',
      level: 'refuse',
      code: 'LEG_TOO_SHORT',
      message: 'The hem would lie {level.knee - newHem} below the knee line; 60 mm are needed.',
      action: 'Shorten by less.',
      of: 'by',
    },
    { do: 'set length', with: { level: 'newHem' } },
    { do: 'close up' },
  ],
};

const READ_STEPS = [
  { number: 1, depth: 0, text: 'Let new hem be the hem level + by (5 cm).' },
  { number: 2, depth: 0, text: 'End the leg at the level new hem.' },
];

const { attempts: _attempts, ...DELIVERY_IN_LIST } = DELIVERY;
const { version: _version, content: _content, ...BLOCK_IN_LIST } = BLOCK;

/** What the reference shows, by the name of the schema; a test holds each to its schema. */
export const EXAMPLES: Readonly<Record<string, unknown>> = {
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
  ExportRequest: { paper: 'a4-letter', layers: EXPORT.layers },
  Export: EXPORT,
  ExportPage: { items: [EXPORT] },
  DraftTokenRequest: { expiresInSeconds: 900 },
  DraftToken: { ...DRAFT_TOKEN, token: 'fkt_QmFzZTY0IG9mIHRoaXJ0eS10d28gcmFuZG9tIGJ5dGVz' },
  DraftTokenPage: { items: [DRAFT_TOKEN] },
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
  CheckRequest: {
    dxf: '0\nSECTION\n2\nBLOCKS\n...',
    name: 'trouser-v3.dxf',
    settings: { units: 'metric', kinds: [{ piece: 'BACK', kind: 'back' }], tolerances: { seamPair: 0.8 } },
    profile: 'maison-a',
    styleId: 'style-77',
    versionId: '3',
  },
  Check: { ...CHECK, result: CHECK_RESULT },
  CheckPage: { items: [CHECK] },
  CheckFiles: {
    items: [
      {
        name: 'truing.json',
        bytes: 18210,
        sha256: '5feceb66ffc86f38d952786c6d696c79c2dbc239dd4e91b46729d73a27fb57e9',
        mediaType: 'application/json',
        href: `${SERVICE}/checks/${CHECK_ID}/files/truing.json`,
      },
    ],
  },
  CheckComparison: {
    earlierId: 'chk_01KAYRE6F7G8H9J0K1M2N3P4QR',
    laterId: CHECK_ID,
    came: [],
    went: [],
    changed: [
      {
        before: { ...CHECK_FINDING, numbers: { differenceMm: 5 } },
        after: CHECK_FINDING,
        numbers: [{ name: 'differenceMm', before: 5, after: 3 }],
      },
    ],
    unchanged: 0,
  },
  RulesProfileRequest: RULES,
  RulesProfile: RULES_PROFILE,
  RulesProfiles: { items: [RULES_PROFILE] },
  BodyRequest: BODY_REQUEST,
  Body: BODY,
  BodyPage: { items: [BODY] },
  BlockRequest: BLOCK_REQUEST,
  Block: BLOCK,
  BlockPage: { items: [BLOCK_IN_LIST] },
  Alteration: ALTERATION,
  Alterations: { items: [ALTERATION] },
  Recipe: RECIPE,
  AlterationReading: {
    title: RECIPE.title,
    summary: RECIPE.summary,
    needs: [],
    parameters: ['by: 5 cm (0 cm to 30 cm). How much shorter the leg becomes.'],
    steps: READ_STEPS,
    text: 'Shorter leg\nEnds the leg higher.\n',
  },
  AlterationDifference: {
    name: RECIPE.name,
    from: 1,
    to: 2,
    same: false,
    about: [],
    parameters: [
      {
        name: 'by',
        before: 'by: 5 cm (0 cm to 30 cm). How much shorter the leg becomes.',
        after: 'by: 6 cm (0 cm to 30 cm). How much shorter the leg becomes.',
      },
    ],
    steps: [{ after: READ_STEPS[1] }],
  },
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
  WebhookEndpointRequest: { url: ENDPOINT.url, eventTypes: ENDPOINT.eventTypes },
  WebhookEndpointChange: { eventTypes: ['draft.failed'] },
  WebhookEndpoint: ENDPOINT,
  WebhookEndpointPage: { items: [ENDPOINT] },
  Delivery: DELIVERY,
  DeliveryPage: { items: [DELIVERY_IN_LIST] },
  Readiness: {
    ready: true,
    checks: { database: 'ok', store: 'ok', outbox: 'ok' },
    outbox: { waiting: 0, oldestSeconds: 0 },
  },
  Webhook: {
    type: 'draft.ready',
    timestamp: ENDED,
    data: {
      draft: DRAFT_ID,
      state: 'ready',
      sequence: DRAFT.sequence,
      findingCounts: DRAFT.findingCounts,
      reference: DRAFT.reference,
      links: { self: DRAFT.links.self, files: DRAFT.links.files },
    },
  },
  Alive: { alive: true },
  Problem: {
    type: '/problems/request-invalid',
    title: 'The request has bad fields',
    status: 422,
    code: 'REQUEST_INVALID',
    detail: 'What happened and what to do.',
    requestId: '0f8fad5b-d9cb-469f-a165-70867728950e',
  },
};
