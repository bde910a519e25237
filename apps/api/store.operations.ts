import {
  BODIES_QUERY,
  BLOCK,
  BLOCK_ANSWER,
  BLOCK_PAGE,
  BODY,
  BODY_ANSWER,
  BODY_PAGE,
  PAGE_QUERY,
} from '#contracts';
import type { Operation } from './describe.js';

const CREATED = ['Location', 'Idempotency-Replayed'] as const;

export const BODY_OPERATIONS = {
  create: {
    id: 'createBody',
    tag: 'Bodies',
    summary: 'Store the measures of a person',
    description: 'Under a pseudonym of yours, never a name; one body for each `ref`.',
    body: BODY,
    headers: ['Idempotency-Key'],
    answers: { 201: { says: 'It is stored.', schema: BODY_ANSWER, headers: [...CREATED, 'ETag'] } },
    problems: ['already-exists'],
  },
  page: {
    id: 'listBodies',
    tag: 'Bodies',
    summary: 'List bodies, newest first',
    description: 'With `ref`, the one body of that pseudonym, or none.',
    query: BODIES_QUERY,
    answers: { 200: { says: 'One page.', schema: BODY_PAGE } },
  },
  find: {
    id: 'getBody',
    tag: 'Bodies',
    summary: 'Look at a body',
    params: { id: 'bdy' },
    headers: ['If-None-Match'],
    answers: {
      200: { says: 'The body.', schema: BODY_ANSWER, headers: ['ETag'] },
      304: { says: 'You have it.', headers: ['ETag'] },
    },
  },
  replace: {
    id: 'replaceBody',
    tag: 'Bodies',
    summary: 'Change the measures of a body',
    description: 'Sends the whole body anew. Drafts that were made keep the measures they were made from.',
    params: { id: 'bdy' },
    body: BODY,
    headers: ['If-Match'],
    answers: { 200: { says: 'It is changed.', schema: BODY_ANSWER, headers: ['ETag'] } },
    problems: ['changed-meanwhile', 'if-match-missing'],
  },
  erase: {
    id: 'eraseBody',
    tag: 'Bodies',
    summary: 'Erase a person',
    description:
      'Erases the measures and everything made from them: drafts, their files, answers that were kept. It cannot be undone.',
    params: { id: 'bdy' },
    answers: { 204: { says: 'It is gone.' } },
  },
} as const satisfies Record<string, Operation>;

export const BLOCK_OPERATIONS = {
  create: {
    id: 'createBlock',
    tag: 'Blocks',
    summary: 'Store a block',
    body: BLOCK,
    headers: ['Idempotency-Key'],
    answers: { 201: { says: 'It is stored as version 1.', schema: BLOCK_ANSWER, headers: CREATED } },
  },
  page: {
    id: 'listBlocks',
    tag: 'Blocks',
    summary: 'List blocks, newest first',
    query: PAGE_QUERY,
    answers: { 200: { says: 'One page, without contents.', schema: BLOCK_PAGE } },
  },
  find: {
    id: 'getBlock',
    tag: 'Blocks',
    summary: 'Look at the newest version of a block',
    params: { id: 'blk' },
    answers: { 200: { says: 'The block.', schema: BLOCK_ANSWER } },
  },
  addVersion: {
    id: 'addBlockVersion',
    tag: 'Blocks',
    summary: 'Add a version of a block',
    description: 'Drafts use the newest version from now on. Older ones stay as they are.',
    params: { id: 'blk' },
    body: BLOCK,
    headers: ['Idempotency-Key'],
    answers: { 201: { says: 'It is stored.', schema: BLOCK_ANSWER, headers: CREATED } },
  },
  findVersion: {
    id: 'getBlockVersion',
    tag: 'Blocks',
    summary: 'Look at one version of a block',
    params: { id: 'blk', version: { type: 'integer' } },
    answers: { 200: { says: 'The block as it was.', schema: BLOCK_ANSWER } },
  },
  remove: {
    id: 'deleteBlock',
    tag: 'Blocks',
    summary: 'Delete a block',
    description: 'Drafts that were made from it keep their request and their files.',
    params: { id: 'blk' },
    answers: { 204: { says: 'It is gone.' } },
  },
} as const satisfies Record<string, Operation>;
