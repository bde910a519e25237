import { SERVICE, BODY_ID, CREATED } from './openapi-example-parts.js';

const BLOCK_ID = 'blk_01KAYQZ0A1B2C3D4E5F6G7H8JK';

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

const { version: _version, content: _content, ...BLOCK_IN_LIST } = BLOCK;

/** What the reference shows of what is kept: bodies, blocks, alterations, by the name of the schema. */
export const STORE_EXAMPLES: Readonly<Record<string, unknown>> = {
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
};
