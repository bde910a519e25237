import {
  ALTERATION,
  ALTERATION_DIFFERENCE,
  ALTERATION_PAGE,
  ALTERATION_READING,
  ALTERATIONS_ANSWER,
  DIFFERENCE_QUERY,
  PAGE_QUERY,
  READING_QUERY,
  RECIPE,
} from '#contracts';
import type { Operation } from './describe.js';

const NAME = { type: 'string', pattern: '^[a-z][a-z0-9-]{0,47}$' };
const VERSION = { type: 'integer' };

export const ALTERATION_OPERATIONS = {
  page: {
    id: 'listAlterations',
    tag: 'Alterations',
    summary: 'List the alterations there are',
    description: 'The first page begins with those of the house, which `limit` does not count.',
    query: PAGE_QUERY,
    answers: {
      200: {
        says: 'One page: your own, newest first, each in the version that drafts use, without recipes.',
        schema: ALTERATION_PAGE,
      },
    },
  },
  create: {
    id: 'createAlteration',
    tag: 'Alterations',
    summary: 'Store a recipe of your own',
    description: 'As a draft of version 1, under its own name. How one is written: docs/writing-a-recipe.md.',
    body: RECIPE,
    headers: ['Idempotency-Key'],
    answers: {
      201: {
        says: 'It is stored as a draft.',
        schema: ALTERATION,
        headers: ['Location', 'Idempotency-Replayed'],
      },
    },
    problems: ['already-exists'],
  },
  find: {
    id: 'getAlteration',
    tag: 'Alterations',
    summary: 'Look at an alteration with its recipe',
    description: 'The newest published version, or the draft while none is published.',
    params: { name: NAME },
    answers: { 200: { says: 'The alteration.', schema: ALTERATION } },
  },
  saveDraft: {
    id: 'saveAlterationDraft',
    tag: 'Alterations',
    summary: 'Change the draft of a recipe',
    description: 'Or begin the next version. Published versions never change.',
    params: { name: NAME },
    body: RECIPE,
    answers: { 200: { says: 'It is saved.', schema: ALTERATION } },
  },
  publish: {
    id: 'publishAlteration',
    tag: 'Alterations',
    summary: 'Take the draft of a recipe into use',
    description:
      'With the operations as they are today. `use: "name"` means this version from now on; older ones stay in use as `name@version`.',
    params: { name: NAME },
    answers: { 200: { says: 'It is published.', schema: ALTERATION } },
    problems: ['state-conflict'],
  },
  reading: {
    id: 'readAlteration',
    tag: 'Alterations',
    summary: 'Read a recipe as numbered steps in trade words',
    params: { name: NAME },
    query: READING_QUERY,
    answers: { 200: { says: 'Its readable form.', schema: ALTERATION_READING } },
  },
  difference: {
    id: 'compareAlterationVersions',
    tag: 'Alterations',
    summary: 'Compare two versions of a recipe',
    params: { name: NAME },
    query: DIFFERENCE_QUERY,
    answers: { 200: { says: 'What changed.', schema: ALTERATION_DIFFERENCE } },
  },
  versions: {
    id: 'listAlterationVersions',
    tag: 'Alterations',
    summary: 'List the versions of a recipe, newest first',
    params: { name: NAME },
    answers: { 200: { says: 'All of them, without recipes.', schema: ALTERATIONS_ANSWER } },
  },
  findVersion: {
    id: 'getAlterationVersion',
    tag: 'Alterations',
    summary: 'Look at one version of a recipe',
    params: { name: NAME, version: VERSION },
    answers: { 200: { says: 'The version.', schema: ALTERATION } },
  },
  retire: {
    id: 'retireAlterationVersion',
    tag: 'Alterations',
    summary: 'Take a version of a recipe out of use',
    description: 'New drafts cannot use it; those made with it can be made again.',
    params: { name: NAME, version: VERSION },
    answers: { 200: { says: 'It is retired.', schema: ALTERATION } },
    problems: ['state-conflict'],
  },
} as const satisfies Record<string, Operation>;
