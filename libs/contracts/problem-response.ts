import { z } from 'zod';

/** One bad field, as an answer lists it. */
export const FIELD_PROBLEM = z
  .strictObject({
    in: z
      .enum(['body', 'query', 'header', 'path', 'variables'])
      .meta({ description: 'What the pointer points into.' }),
    pointer: z.string().meta({ description: 'JSON pointer (RFC 6901) to the field; empty for the whole.' }),
    code: z.string().meta({ description: 'Stable name of what is wrong.' }),
    found: z.string().meta({ description: 'What was there, shortened.' }),
    allowed: z.string().meta({ description: 'What may be there.' }),
    detail: z.string().meta({ description: 'What is wrong and what to do, in words.' }),
    step: z.int().min(1).optional().meta({ description: 'The step of a recipe, in reading order.' }),
    column: z.int().min(1).optional().meta({ description: 'The place in the text of a formula.' }),
  })
  .meta({ id: 'FieldProblem', description: 'One bad field.' });

/** RFC 9457. */
export const PROBLEM = z
  .strictObject({
    type: z.string().meta({ format: 'uri-reference', description: 'Names the kind of problem.' }),
    title: z.string(),
    status: z.int().min(400).max(599),
    code: z.string().meta({ description: 'The kind again, short and stable.' }),
    detail: z.string().meta({ description: 'What happened and what to do.' }),
    requestId: z.string().optional().meta({ description: 'Tell it when you ask us; it is in our logs.' }),
    errors: z.array(FIELD_PROBLEM).optional().meta({ description: 'Every bad field, at most 101.' }),
  })
  .meta({ id: 'Problem', description: 'What went wrong (RFC 9457).' });

export type FieldProblem = z.output<typeof FIELD_PROBLEM>;
export type ProblemAnswer = z.output<typeof PROBLEM>;
