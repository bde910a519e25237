import 'reflect-metadata';
import { RequestMethod, type Type } from '@nestjs/common';
import type { z } from 'zod';
import type { ProblemKind } from './api-error.js';

export type HeaderName =
  'Idempotency-Key' | 'Prefer' | 'If-Match' | 'If-None-Match' | 'If-Range' | 'Range' | 'Last-Event-ID';

export type AnswerHeader =
  | 'Location'
  | 'ETag'
  | 'Preference-Applied'
  | 'Idempotency-Replayed'
  | 'Content-Range'
  | 'Accept-Ranges'
  | 'Content-Disposition';

export interface Answer {
  readonly says: string;
  /** Missing: no content. A schema means JSON. */
  readonly schema?: z.ZodType;
  /** Where the schema's own example would show what this answer is not. */
  readonly example?: unknown;
  readonly text?: 'text/event-stream' | 'text/plain' | '*/*';
  readonly headers?: readonly AnswerHeader[];
}

/** What the reference says of a route. */
export interface Operation {
  readonly id: string;
  readonly tag: string;
  readonly summary: string;
  readonly description?: string;
  /** What each name in braces stands for: the beginning of an id, or a form. */
  readonly params?: Readonly<Record<string, string | { readonly type: string; readonly pattern?: string }>>;
  readonly query?: z.ZodType;
  readonly body?: z.ZodType;
  /** A form with a file that may be sent in its place. */
  readonly upload?: z.ZodType;
  readonly headers?: readonly HeaderName[];
  readonly answers: Readonly<Record<number, Answer>>;
  /** Beside those that every route of its kind may answer with. */
  readonly problems?: readonly ProblemKind[];
  /** Whom it answers beside those who have an API key: everybody, or who has a token of the draft in its path. */
  readonly access?: 'open' | 'draft-token';
}

export interface Route {
  readonly method: string;
  /** With names in braces: /v1/drafts/{id}. */
  readonly path: string;
  /** Missing: not part of the contract, such as the reference page itself. */
  readonly operation?: Operation;
}

const OPERATION = 'forkline:operation';

/** What the reference says of this route. */
export function Describe(operation: Operation): MethodDecorator {
  return (target, name) => Reflect.defineMetadata(OPERATION, operation, target, name);
}

/** The routes of controllers, as their decorators say them: the reference cannot leave one out. */
export function routesOf(controllers: readonly Type[]): readonly Route[] {
  return controllers.flatMap((controller) => {
    const base = Reflect.getMetadata('path', controller) as string;
    const names = Object.getOwnPropertyNames(controller.prototype);
    return names.flatMap((name) => routeOf(controller.prototype as object, name, base));
  });
}

function routeOf(prototype: object, name: string, base: string): Route[] {
  const handler = (prototype as Record<string, unknown>)[name] as object;
  const method = Reflect.getMetadata('method', handler) as RequestMethod | undefined;
  if (method === undefined) return [];
  const rest = Reflect.getMetadata('path', handler) as string;
  const parts = `${base}/${rest}`.split('/').filter((part) => part !== '');
  const path = `/${parts.map((part) => (part.startsWith(':') ? `{${part.slice(1)}}` : part)).join('/')}`;
  const operation = Reflect.getMetadata(OPERATION, prototype, name) as Operation | undefined;
  const verb = RequestMethod[method].toLowerCase();
  return [{ method: verb, path, ...(operation === undefined ? {} : { operation }) }];
}
