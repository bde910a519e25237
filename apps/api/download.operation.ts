import type { Operation } from './describe.js';

export const FILE_PARAM = { name: { type: 'string', pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$' } } as const;

/** How every file is downloaded. */
export const DOWNLOAD = {
  description:
    'A download that broke off goes on with Range and If-Range; a file that is there already is not sent again. HEAD tells size and version. Several ranges at once are answered with the whole file.',
  headers: ['Range', 'If-Range', 'If-None-Match'],
  answers: {
    200: {
      says: 'The file.',
      text: '*/*',
      headers: ['ETag', 'Accept-Ranges', 'Content-Disposition'],
    },
    206: {
      says: 'The part of it that was asked for.',
      text: '*/*',
      headers: ['ETag', 'Accept-Ranges', 'Content-Disposition', 'Content-Range'],
    },
    304: { says: 'You have it.', headers: ['ETag'] },
  },
  problems: ['range-unsatisfiable'],
} as const satisfies Partial<Operation>;
