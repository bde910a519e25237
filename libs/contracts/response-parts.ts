import { z } from 'zod';
import { idForm } from './wire-form.js';

/** What every answer is made of. Each is built field by field, and tests hold it to its schema. */

/** Longest page of a list, and how long it is when nothing is asked. */
export const PAGE_LIMIT_MAX = 200;
export const PAGE_LIMIT_DEFAULT = 50;

export function id(prefix: string) {
  return z.string().meta(idForm(prefix));
}

export const time = () => z.iso.datetime().meta({ description: 'RFC 3339, in UTC.' });
export const count = () => z.int().min(0);
export const link = () => z.url();

/** A page of a list, newest first. */
export function pageOf<Item extends z.ZodType>(name: string, item: Item) {
  return z
    .strictObject({
      items: z.array(item),
      next: z.string().optional().meta({ description: 'Cursor of the next page; missing on the last one.' }),
    })
    .meta({ id: name });
}

/** A page of answers. */
export interface AnswerPage<Item> {
  readonly items: readonly Item[];
  readonly next?: string | undefined;
}
