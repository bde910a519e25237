import type { Response } from 'express';

interface Accepted {
  readonly finishedAt?: string | undefined;
  readonly links: { readonly self: string };
}

interface Made {
  readonly replayed: boolean;
  readonly waitS: number;
}

/** 201 when it has ended, such as while the caller waited, 202 when it goes on; where it is, either way. */
export function sayAccepted(response: Response, work: Accepted, { replayed, waitS }: Made): void {
  const ended = work.finishedAt !== undefined;
  response.status(ended ? 201 : 202);
  if (waitS > 0) response.setHeader('Preference-Applied', `wait=${waitS}`);
  sayCreated(response, work.links.self, replayed);
}

export function sayCreated(response: Response, location: string, replayed: boolean): void {
  response.setHeader('Location', location);
  sayReplayed(response, replayed);
}

export function sayReplayed(response: Response, replayed: boolean): void {
  if (replayed) response.setHeader('Idempotency-Replayed', 'true');
}
