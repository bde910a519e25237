import {
  readWith,
  WEBHOOK_ENDPOINT_CHANGE,
  WEBHOOK_ENDPOINT_REQUEST,
  type AnswerPage,
  type FieldProblem,
  type Parsed,
  type WebhookEndpointAnswer,
} from '#contracts';
import type { WebhookEndpoint, WebhookEndpointRepository, WebhookSecret } from '#persistence';
import { createSecret, receiverProblems, type AllowedReceivers } from '#webhooks';
import { ApiError, invalid, toFieldProblem } from './api-error.js';
import type { Caller } from './caller.js';
import type { Ground } from './ground.js';
import type { Links } from './links.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import type { Once, OnceResult } from './once.js';
import { requireFound, requireId } from './require-id.js';

/** Both secrets sign for a day: time to put the new one into every receiver. */
const OLD_SECRET_MS = 24 * 3_600_000;

/** A receiver may be changed over twice at once, not endlessly: each secret makes every webhook longer. */
const SECRETS_MAX = 3;

/** Keeps where events are sent, and the secrets that sign them. */
export class WebhookEndpointsService {
  constructor(
    private readonly ground: Ground,
    private readonly endpoints: WebhookEndpointRepository,
    private readonly allowed: AllowedReceivers,
    private readonly once: Once,
  ) {}

  /** The only answer, with that of `rotateSecret`, that holds the secret. Errors  request-invalid. */
  async create(
    caller: Caller,
    json: unknown,
    key: string | undefined,
  ): Promise<OnceResult<WebhookEndpointAnswer>> {
    const { url, eventTypes = [] } = this.read(readWith(WEBHOOK_ENDPOINT_REQUEST, json));
    const { newId, now, links } = this.ground;
    return this.once.run(caller, { key, action: 'webhook-endpoints.create', input: json }, async (tx) => {
      const at = new Date(now());
      const stored = await this.endpoints.insert(tx, caller.shopId, {
        id: newId('webhookEndpoint'),
        url,
        secrets: [{ secret: createSecret() }],
        eventTypes,
        enabled: true,
        createdAt: at,
        updatedAt: at,
      });
      return { answer: toEndpointAnswer(stored, links, stored.secrets[0]), subjectId: stored.id };
    });
  }

  async find(caller: Caller, id: string): Promise<WebhookEndpointAnswer> {
    return toEndpointAnswer(await this.stored(caller, id), this.ground.links);
  }

  page(caller: Caller, query: PageQuery): Promise<AnswerPage<WebhookEndpointAnswer>> {
    return mappedPage(
      query,
      (request) => this.endpoints.page(this.ground.database.session, caller.shopId, request),
      (endpoint) => toEndpointAnswer(endpoint, this.ground.links),
    );
  }

  /** Errors  not-found, request-invalid. */
  async change(caller: Caller, id: string, json: unknown): Promise<WebhookEndpointAnswer> {
    const { id: endpointId } = await this.stored(caller, id);
    const { url, eventTypes, enabled } = this.read(readWith(WEBHOOK_ENDPOINT_CHANGE, json));
    const { database, now, links } = this.ground;
    const changed = await this.endpoints.update(database.session, caller.shopId, endpointId, {
      updatedAt: new Date(now()),
      ...(url === undefined ? {} : { url }),
      ...(eventTypes === undefined ? {} : { eventTypes }),
      ...(enabled === undefined ? {} : { enabled }),
    });
    return toEndpointAnswer(requireFound('webhookEndpoint', changed), links);
  }

  /** A new secret; the one before still signs for a day. Errors  not-found. */
  async rotateSecret(
    caller: Caller,
    id: string,
    key: string | undefined,
  ): Promise<OnceResult<WebhookEndpointAnswer>> {
    const asked = { key, action: 'webhook-endpoints.rotate-secret', input: id };
    const endpointId = requireId('webhookEndpoint', id);
    return this.once.run(caller, asked, async (tx) => {
      const nowMs = this.ground.now();
      const found = requireFound('webhookEndpoint', await this.endpoints.find(tx, caller.shopId, endpointId));
      const secret = { secret: createSecret() };
      const secrets = [secret, ...retiring(found.secrets, nowMs)].slice(0, SECRETS_MAX);
      const change = { secrets, updatedAt: new Date(nowMs) };
      const changed = await this.endpoints.update(tx, caller.shopId, endpointId, change);
      const answer = toEndpointAnswer(requireFound('webhookEndpoint', changed), this.ground.links, secret);
      return { answer, subjectId: endpointId };
    });
  }

  /** Its deliveries go with it. Errors  not-found. */
  async remove(caller: Caller, id: string): Promise<void> {
    const endpointId = requireId('webhookEndpoint', id);
    const removed = await this.endpoints.remove(this.ground.database.session, caller.shopId, endpointId);
    requireFound('webhookEndpoint', removed ? id : undefined);
  }

  private async stored(caller: Caller, id: string): Promise<WebhookEndpoint> {
    const endpointId = requireId('webhookEndpoint', id);
    const { session } = this.ground.database;
    return requireFound('webhookEndpoint', await this.endpoints.find(session, caller.shopId, endpointId));
  }

  /** What was sent, when its fields are right and its URL may be called. */
  private read<Sent extends { readonly url?: string | undefined }>(parsed: Parsed<Sent>): Sent {
    if (!parsed.ok) throw invalid('body', parsed.problems);
    const { url } = parsed.value;
    const problems = url === undefined ? [] : receiverProblems(url, this.allowed);
    if (problems.length === 0) return parsed.value;
    const errors = problems.map(({ code, message }): FieldProblem =>
      toFieldProblem('body', {
        pointer: '/url',
        code: 'NOT_ALLOWED',
        found: code,
        allowed: { form: 'an https URL of a host on the public internet, without credentials' },
        message: `url is refused: ${message}.`,
        action:
          'Send another address, or have whoever runs the service allow this receiver with FORKLINE_WEBHOOK_ALLOWED_RECEIVERS.',
      }),
    );
    throw new ApiError('request-invalid', 'The url cannot be called.', { errors });
  }
}

function retiring(secrets: readonly WebhookSecret[], nowMs: number): WebhookSecret[] {
  return secrets
    .filter(({ retiresAt }) => retiresAt === undefined || Date.parse(retiresAt) > nowMs)
    .map(({ secret, retiresAt = new Date(nowMs + OLD_SECRET_MS).toISOString() }) => ({ secret, retiresAt }));
}

function toEndpointAnswer(
  endpoint: WebhookEndpoint,
  links: Links,
  shown?: WebhookSecret,
): WebhookEndpointAnswer {
  const { id, url, eventTypes, enabled, disabledReason, createdAt, updatedAt } = endpoint;
  return {
    id,
    url,
    eventTypes: [...eventTypes] as WebhookEndpointAnswer['eventTypes'],
    enabled,
    ...(disabledReason === undefined ? {} : { disabledReason }),
    ...(shown === undefined ? {} : { secret: shown.secret }),
    createdAt: createdAt.toISOString(),
    updatedAt: updatedAt.toISOString(),
    links: { self: links.to('webhook-endpoints', id) },
  };
}
