import { SERVICE, CREATED, ENDED } from './openapi-example-parts.js';

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

/** What the reference shows of checks, by the name of the schema. */
export const CHECKS_EXAMPLES: Readonly<Record<string, unknown>> = {
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
};
