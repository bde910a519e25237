import { INSIDE_LEG_WAYS, MEASURE_NAMES, SEXES } from '#measurements';
import { z } from 'zod';
import { id, link, pageOf, time } from './response-parts.js';

export const BODY_MEASURES = z
  .strictObject(
    Object.fromEntries(MEASURE_NAMES.map((name) => [name, z.number().optional()])) as Record<
      (typeof MEASURE_NAMES)[number],
      z.ZodOptional<z.ZodNumber>
    >,
  )
  .meta({ id: 'BodyMeasures', description: 'Measures in mm, by their ISO 8559-1 names.' });

export const BODY_ANSWER = z
  .strictObject({
    id: id('bdy'),
    ref: z.string().meta({ description: "The shop's pseudonym for the person." }),
    sex: z.enum(SEXES).meta({ id: 'Sex', description: 'As the tables of ease and estimates know it.' }),
    insideLegTaken: z
      .enum(INSIDE_LEG_WAYS)
      .meta({ id: 'InsideLegTaken', description: 'How the inside leg was measured.' }),
    measures: BODY_MEASURES,
    corrections: z
      .array(
        z
          .strictObject({
            date: z.string(),
            use: z.string().meta({ description: 'What it changed: waist or centre-back.' }),
            with: z
              .strictObject({ by: z.number().meta({ description: 'In mm.' }) })
              .meta({ id: 'CorrectionAmount', description: 'By how much.' }),
          })
          .meta({ id: 'Correction', description: 'What one fitting taught.' }),
      )
      .meta({ description: 'Made on every block of this body, in this order.' }),
    createdAt: time(),
    updatedAt: time(),
    links: z.strictObject({ self: link() }).meta({ id: 'BodyLinks', description: 'Where the body is.' }),
  })
  .meta({ id: 'Body', description: 'The measures of one person under a pseudonym.' });

export const BLOCK_ANSWER = z
  .strictObject({
    id: id('blk'),
    name: z.string(),
    version: z.int().min(1).optional().meta({ description: 'The version that is shown; lists show none.' }),
    content: z
      .record(z.string(), z.unknown())
      .optional()
      .meta({ description: 'The block as it can be sent again; lists leave it out.' }),
    createdAt: time(),
    links: z
      .strictObject({ self: link(), versions: link() })
      .meta({ id: 'BlockLinks', description: 'Where the block and its versions are.' }),
  })
  .meta({ id: 'Block', description: 'A stored block. Its versions are never changed.' });

export const BODY_PAGE = pageOf('BodyPage', BODY_ANSWER);
export const BLOCK_PAGE = pageOf('BlockPage', BLOCK_ANSWER);

export type BodyAnswer = z.output<typeof BODY_ANSWER>;
export type BlockAnswer = z.output<typeof BLOCK_ANSWER>;
