import { describe, expect, it } from '@jest/globals';
import { ExpressAdapter } from '@nestjs/platform-express';
import type { Application } from 'express';
import type { AddressInfo } from 'node:net';
import { createLogger, createMetrics, observeRequests } from '#observability';
import { eventually } from '../../test/support/eventually.js';

describe('the metrics', () => {
  it('count attempts and time them', async () => {
    const metrics = createMetrics({ processMetrics: 'leave-out' });
    metrics.observeJob({ name: 'produce-draft', outcome: 'done', durationMs: 1_500 });
    metrics.observeJob({ name: 'produce-draft', outcome: 'done', durationMs: 500 });
    metrics.observeDelivery({ outcome: 'throttled', durationMs: 30 });
    const { text, contentType } = await metrics.exposition();
    expect(contentType).toContain('text/plain');
    expect(text).toContain('forkline_job_duration_seconds_sum{job="produce-draft",outcome="done"} 2\n');
    expect(text).toContain(
      'forkline_job_duration_seconds_bucket{le="0.5",job="produce-draft",outcome="done"} 1\n',
    );
    expect(text).toContain('forkline_webhook_deliveries_total{outcome="throttled"} 1\n');
  });

  it('ask for the gauges at each scrape, and forget what is no longer there', async () => {
    const metrics = createMetrics({ processMetrics: 'leave-out' });
    let counts: Record<string, number> = { accepted: 3, working: 1 };
    metrics.readFrom({ draftsByState: () => Promise.resolve(counts) });
    metrics.readFrom({
      queueCounts: () => Promise.resolve({ 'produce-draft': { waiting: 2 } }),
      computeLoad: () => ({ running: 2, waiting: 5 }),
    });
    const { text } = await metrics.exposition();
    expect(text).toContain('forkline_drafts{state="accepted"} 3\n');
    expect(text).toContain('forkline_queue_jobs{job="produce-draft",state="waiting"} 2\n');
    expect(text).toContain('forkline_compute_tasks{state="waiting"} 5\n');
    counts = { ready: 4 };
    const later = (await metrics.exposition()).text;
    expect(later).toContain('forkline_drafts{state="ready"} 4\n');
    expect(later).not.toContain('state="accepted"');
  });

  it('survive a source that fails, and say so', async () => {
    const metrics = createMetrics({ processMetrics: 'leave-out' });
    metrics.readFrom({
      draftsByState: () => Promise.reject(new Error('database away')),
      computeLoad: () => ({ running: 1, waiting: 0 }),
    });
    const { text } = await metrics.exposition();
    expect(text).toContain('forkline_scrape_failures_total{source="drafts"} 1\n');
    expect(text).toContain('forkline_compute_tasks{state="running"} 1\n');
    expect(text).not.toMatch(/^forkline_drafts\{/m);
  });
});

/** As long as this, so that no time of day and no duration in a log can hold it by chance. */
const MEASURE = '8127.40931';

describe('observing requests', () => {
  it("logs and counts by the route's template, never by the path", async () => {
    let written = '';
    const metrics = createMetrics({ processMetrics: 'leave-out' });
    const logger = createLogger({
      level: 'info',
      base: {},
      destination: { write: (line: string) => void (written += line) },
    });
    const app = new ExpressAdapter().getInstance<Application>();
    app.use(observeRequests({ logger, metrics, newId: () => 'req_new' }));
    app.get('/v1/drafts/:id', (_request, response) => {
      logger.info('draft.read');
      response.status(200).end();
    });
    const server = app.listen(0, '127.0.0.1');
    await new Promise((resolve) => server.once('listening', resolve));
    const origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
    const found = await fetch(`${origin}/v1/drafts/drf_${MEASURE}?waist=${MEASURE}`, {
      headers: { 'x-request-id': 'caller_77' },
    });
    const lost = await fetch(`${origin}/waist/${MEASURE}`);
    expect(found.headers.get('x-request-id')).toBe('caller_77');
    expect(lost.headers.get('x-request-id')).toBe('req_new');
    await eventually(
      () => written.split('\n').length,
      (count) => count === 4,
      5_000,
    );
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    const lines = written
      .split('\n')
      .filter(Boolean)
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(lines.map(({ event, requestId, route, status }) => [event, requestId, route, status])).toEqual([
      ['draft.read', 'caller_77', undefined, undefined],
      ['request.ended', 'caller_77', '/v1/drafts/:id', 200],
      ['request.ended', 'req_new', 'unmatched', 404],
    ]);
    const { text } = await metrics.exposition();
    expect(text).toContain('_count{method="GET",route="/v1/drafts/:id",status="200"} 1\n');
    expect(written + text).not.toContain(MEASURE);
  });
});
