import { createParamDecorator, type ExecutionContext } from '@nestjs/common';
import type { Request } from 'express';
import { callerOf } from './caller.js';

const requestOf = (context: ExecutionContext): Request => context.switchToHttp().getRequest<Request>();

/** Longest `Prefer: wait`, under what proxies give a request. */
const WAIT_S_MAX = 30;

export const CallerParam = createParamDecorator((_: unknown, context: ExecutionContext) =>
  callerOf(requestOf(context)),
);

export const IdempotencyKey = createParamDecorator((_: unknown, context: ExecutionContext) =>
  requestOf(context).get('Idempotency-Key'),
);

/** Seconds of `Prefer: wait=N` (RFC 7240), at most what we wait; 0 without it. */
export const PreferWait = createParamDecorator((_: unknown, context: ExecutionContext) =>
  waitSeconds(requestOf(context).get('Prefer')),
);

export function waitSeconds(prefer = ''): number {
  const match = /(?:^|[,;])\s*wait\s*=\s*"?(\d{1,9})"?\s*(?:[,;]|$)/i.exec(prefer);
  return match === null ? 0 : Math.min(Number(match[1]), WAIT_S_MAX);
}

export const IfMatch = createParamDecorator((_: unknown, context: ExecutionContext) =>
  requestOf(context).get('If-Match'),
);

/** The sequence a client has seen last, from the header that event streams send when they come back; 0 without. */
export const LastEventId = createParamDecorator((_: unknown, context: ExecutionContext) => {
  const header = requestOf(context).get('Last-Event-ID') ?? '';
  return /^\d{1,9}$/.test(header) ? Number(header) : 0;
});
