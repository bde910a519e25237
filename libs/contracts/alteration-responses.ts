import { z } from 'zod';
import { count, link, pageOf, time } from './response-parts.js';

export const ALTERATION_PARAMETER = z
  .strictObject({
    name: z.string(),
    help: z.string().optional(),
    min: z.number().optional(),
    max: z.number().optional(),
    unit: z.string().optional(),
    oneOf: z.array(z.string()).optional(),
    default: z
      .union([z.number(), z.string()])
      .optional()
      .meta({ description: 'What it is when it is left out; missing where that depends on the block.' }),
  })
  .meta({ id: 'AlterationParameter', description: 'One amount or choice of an alteration.' });

export const ALTERATION_STATE = z
  .enum(['draft', 'published', 'retired'])
  .meta({ id: 'AlterationState', description: 'Where a version of an alteration stands.' });

export const ALTERATION = z
  .strictObject({
    name: z.string().meta({ description: 'What a request says in "use", alone or as "name@version".' }),
    title: z.string(),
    summary: z.string(),
    origin: z
      .enum(['house', 'shop'])
      .meta({ id: 'AlterationOrigin', description: 'Whether it came with the service or is your own.' }),
    state: ALTERATION_STATE,
    version: z
      .int()
      .min(1)
      .optional()
      .meta({ description: 'Of your own; those of the house go with the engine.' }),
    parameters: z.array(ALTERATION_PARAMETER),
    recipe: z
      .record(z.string(), z.unknown())
      .optional()
      .meta({ description: 'The recipe as it can be sent again; lists leave it out.' }),
    createdAt: time().optional(),
    publishedAt: time().optional(),
    retiredAt: time().optional(),
    links: z
      .strictObject({ self: link(), reading: link() })
      .meta({ id: 'AlterationLinks', description: 'Where the alteration and its readable form are.' }),
  })
  .meta({ id: 'Alteration', description: 'A recipe of pattern operations with parameters, in one version.' });

export const ALTERATIONS_ANSWER = z
  .strictObject({ items: z.array(ALTERATION) })
  .meta({ id: 'Alterations', description: 'The versions of an alteration.' });

const READ_STEP = z
  .strictObject({
    number: z.int().min(1).meta({ description: 'As problems and findings count.' }),
    depth: count().meta({ description: 'How many conditions it stands inside.' }),
    text: z.string(),
  })
  .meta({ id: 'ReadStep', description: 'One step in trade words.' });

export const ALTERATION_READING = z
  .strictObject({
    title: z.string(),
    summary: z.string(),
    needs: z.array(z.string()).meta({ description: 'What a block must have.' }),
    parameters: z.array(z.string()).meta({ description: 'Each amount with its default and its range.' }),
    steps: z.array(READ_STEP),
    text: z.string().meta({ description: 'All of it as lines, to be printed.' }),
  })
  .meta({ id: 'AlterationReading', description: 'A recipe as a technician reads it.' });

const STEP_CHANGE = z
  .strictObject({ before: READ_STEP.optional(), after: READ_STEP.optional() })
  .meta({ id: 'StepChange', description: 'A step that is new, gone or changed.' });

const AMOUNT_CHANGE = z
  .strictObject({ name: z.string(), before: z.string().optional(), after: z.string().optional() })
  .meta({
    id: 'AmountChange',
    description: 'An amount, or a line about the recipe, that is new, gone or changed.',
  });

export const ALTERATION_DIFFERENCE = z
  .strictObject({
    name: z.string(),
    from: z.int().min(1),
    to: z.int().min(1),
    same: z.boolean().meta({ description: 'Nothing differs.' }),
    about: z.array(AMOUNT_CHANGE).meta({ description: 'Title and summary.' }),
    parameters: z.array(AMOUNT_CHANGE),
    steps: z.array(STEP_CHANGE),
  })
  .meta({ id: 'AlterationDifference', description: 'What changed from one version to another.' });

export type AlterationAnswer = z.output<typeof ALTERATION>;
export type AlterationReadingAnswer = z.output<typeof ALTERATION_READING>;
export type AlterationDifferenceAnswer = z.output<typeof ALTERATION_DIFFERENCE>;

export const ALTERATION_PAGE = pageOf('AlterationPage', ALTERATION);
