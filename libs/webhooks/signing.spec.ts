import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { createHmac } from 'node:crypto';
import { Webhook } from 'standardwebhooks';
import { createSecret, planNextAttempt, signatureHeaders, webhookBody, type WebhookEvent } from '#webhooks';

const EVENT: WebhookEvent = {
  subject: 'draft',
  id: 'drf_1',
  state: 'needs_attention',
  at: new Date('2026-03-02T10:00:00.000Z'),
  reference: 'order 77 / line 2',
  sequence: 4,
  findingCounts: { info: 1, warning: 2, stop: 0 },
  links: { self: 'https://api.example.com/v1/drafts/drf_1' },
};

describe('signing', () => {
  it("gives the signature of the library's own documentation", () => {
    // The worked example of the Standard Webhooks libraries' test suites, from memory; checked below by node's HMAC too.
    const headers = signatureHeaders({
      messageId: 'msg_p5jXN8AQM9LWM0D4loKWxJek',
      sentAt: new Date(1614265330_000),
      body: '{"test": 2432232314}',
      secrets: ['whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw'],
    });
    expect(headers['webhook-signature']).toBe('v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=');
    const key = Buffer.from('MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw', 'base64');
    const content = 'msg_p5jXN8AQM9LWM0D4loKWxJek.1614265330.{"test": 2432232314}';
    const expected = createHmac('sha256', key).update(content).digest('base64');
    expect(headers['webhook-signature']).toBe(`v1,${expected}`);
  });

  it('verifies with each of the secrets while they are changed over, and with no other', () => {
    fc.assert(
      fc.property(fc.string(), fc.integer({ min: 1, max: 4 }), (body, count) => {
        const secrets = Array.from({ length: count }, createSecret);
        const headers = { ...signatureHeaders({ messageId: 'msg_1', sentAt: new Date(), body, secrets }) };
        for (const secret of secrets) new Webhook(secret).verify(body, headers, { jsonParse: false });
        expect(() => new Webhook(createSecret()).verify(body, headers, { jsonParse: false })).toThrow();
      }),
      { numRuns: 50 },
    );
  });

  it('refuses secrets and ids that the standard does not allow, and keeps the secret to itself', () => {
    const sign =
      (secrets: readonly string[], messageId = 'msg_1') =>
      () =>
        signatureHeaders({ messageId, sentAt: new Date(0), body: '', secrets });
    const short = `whsec_${Buffer.alloc(16, 7).toString('base64')}`;
    expect(sign([])).toThrow('SECRETS_MISSING');
    expect(sign([short])).toThrow('SECRET_INVALID');
    expect(sign([short])).not.toThrow(short);
    expect(sign([createSecret().slice(6)])).toThrow('SECRET_INVALID');
    expect(sign([`whsec_${Buffer.alloc(65).toString('base64')}`])).toThrow('SECRET_INVALID');
    expect(sign([createSecret()], 'msg.1')).toThrow('MESSAGE_ID_INVALID');
  });
});

describe('the body', () => {
  it('says what happened and where to look', () => {
    expect(JSON.parse(webhookBody(EVENT))).toEqual({
      type: 'draft.needs_attention',
      timestamp: '2026-03-02T10:00:00.000Z',
      data: {
        draft: 'drf_1',
        reference: 'order 77 / line 2',
        state: 'needs_attention',
        sequence: 4,
        findingCounts: { info: 1, warning: 2, stop: 0 },
        links: { self: 'https://api.example.com/v1/drafts/drf_1' },
      },
    });
  });

  it('lets nothing else slip in', () => {
    const more = {
      ...EVENT,
      body: { waistGirth: 812 },
      findingCounts: { ...EVENT.findingCounts, waistGirth: 812 },
    };
    expect(webhookBody(more)).toBe(webhookBody(EVENT));
  });

  it('refuses to grow beyond the usual size', () => {
    expect(() => webhookBody({ ...EVENT, links: { self: 'x'.repeat(20_000) } })).toThrow('BODY_TOO_LARGE');
  });
});

describe('the next attempt', () => {
  const failed = { kind: 'failed', reason: 'TOO_SLOW', durationMs: 1 } as const;
  const throttled = (retryAfterMs: number) =>
    ({ kind: 'throttled', status: 429, retryAfterMs, durationMs: 1 }) as const;

  it("follows the standard's example: ten attempts over 75 h 35 min 5 s", () => {
    let totalMs = 0;
    for (let attempt = 1; attempt <= 9; attempt++) {
      const step = planNextAttempt(attempt, failed, () => 0);
      totalMs += step.kind === 'retry' ? step.afterMs : NaN;
    }
    expect(totalMs).toBe(((75 * 60 + 35) * 60 + 5) * 1000);
    expect(planNextAttempt(10, failed, () => 0)).toEqual({ kind: 'give-up' });
  });

  it('waits longer when asked to, never shorter, and a tenth more at most', () => {
    expect(planNextAttempt(1, throttled(60_000), () => 0)).toEqual({ kind: 'retry', afterMs: 60_000 });
    expect(planNextAttempt(2, throttled(60_000), () => 0)).toEqual({ kind: 'retry', afterMs: 300_000 });
    expect(planNextAttempt(2, failed, () => 0.999999)).toEqual({ kind: 'retry', afterMs: 330_000 });
  });

  it('ends with success, and disables an endpoint that is gone', () => {
    expect(planNextAttempt(1, { kind: 'delivered', status: 200, durationMs: 1 }, () => 0)).toEqual({
      kind: 'none',
    });
    expect(planNextAttempt(1, { kind: 'gone', status: 410, durationMs: 1 }, () => 0)).toEqual({
      kind: 'disable-endpoint',
    });
  });
});
