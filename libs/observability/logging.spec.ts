import { describe, expect, it } from '@jest/globals';
import { Logger as NestFrontLogger } from '@nestjs/common';
import fc from 'fast-check';
import { setTimeout as wait } from 'node:timers/promises';
import {
  NestLogger,
  createLogger,
  requestIdFrom,
  withLogContext,
  type LogFields,
  type Logger,
} from '#observability';

type Line = Readonly<Record<string, unknown>>;

function capture(): { readonly logger: Logger; readonly lines: () => Line[]; readonly text: () => string } {
  let text = '';
  const logger = createLogger({
    level: 'debug',
    base: { service: 'api', engine: '0.1.0' },
    destination: { write: (line: string) => void (text += line) },
  });
  const lines = (): Line[] =>
    text
      .split('\n')
      .filter(Boolean)
      .map((line) => JSON.parse(line) as Line);
  // Without the times: the milliseconds of one may be the digits that a test looks for.
  return { logger, lines, text: () => text.replaceAll(/"time":"[^"]*"/g, '') };
}

describe('the logger', () => {
  it('writes one line of JSON with the fields it knows', () => {
    const { logger, lines } = capture();
    logger.info('draft.ready', { draftId: 'drf_1', durationMs: 12.5, attempt: 1 });
    const [{ time, ...line }] = lines();
    expect(Date.parse(String(time))).not.toBeNaN();
    expect(line).toEqual({
      level: 'info',
      event: 'draft.ready',
      service: 'api',
      engine: '0.1.0',
      draftId: 'drf_1',
      durationMs: 12.5,
      attempt: 1,
    });
  });

  it('drops what is not on the list, however it is passed', () => {
    const { logger, lines, text } = capture();
    const body = { ref: 'C-1042', waistGirth: 812.5, measures: { hipGirth: 1004.5 } };
    logger.info('draft.accepted', {
      ...body,
      body,
      draftId: body,
      code: '812.5 mm around',
    } as unknown as LogFields);
    logger.warn('draft.slow', body as LogFields, Object.assign(new Error('waist 812.5'), { body }));
    logger.error('draft.failed', body as LogFields, new RangeError('hip 1004.5 of C-1042'));
    withLogContext(body as LogFields, () => logger.info('draft.ready'));
    logger.info('waist was 812.5');
    logger.info(`draft.ready-${body.waistGirth}`);
    expect(text()).not.toMatch(/812|1004|1042|waist|hip/i);
    expect(lines().map(({ event }) => event)).toEqual([
      'draft.accepted',
      'draft.slow',
      'draft.failed',
      'draft.ready',
      'event.unnamed',
      'event.unnamed',
    ]);
  });

  it('lets no unknown field through, whatever its name and value', () => {
    fc.assert(
      fc.property(fc.dictionary(fc.string(), fc.anything()), (fields) => {
        const { logger, lines } = capture();
        logger.info('draft.ready', fields);
        const known =
          /^(time|level|event|service|engine|requestId|[a-z]+Id|jobName|task|code|errorName|reason|state|outcome|method|route|backend|signal|nestContext|attempt|attemptsMax|sequence|status|durationMs|count|bytes|port)$/;
        expect(lines()).toHaveLength(1);
        for (const name of Object.keys(lines()[0])) expect(name).toMatch(known);
      }),
    );
  });

  it('says of an error its name, its code and the way to it', () => {
    const { logger, lines } = capture();
    logger.error('job.failed', {}, Object.assign(new TypeError('secret'), { code: 'STORE_AWAY' }));
    const [{ errorName, code, frames }] = lines();
    expect([errorName, code]).toEqual(['TypeError', 'STORE_AWAY']);
    expect(frames).toEqual(expect.arrayContaining([expect.stringMatching(/logging\.spec/)]));
    expect(JSON.stringify(frames)).not.toContain('secret');
  });

  it('keeps a message out of the frames even when it looks like one', () => {
    const { logger, text } = capture();
    logger.error('job.failed', {}, new Error('x\n    at waist 812 (mm)\n    at waist=812'));
    expect(text()).not.toContain('812');
  });
});

describe('the context of a request', () => {
  it('is on every line inside, however late, and on none outside', async () => {
    const { logger, lines } = capture();
    await Promise.all(
      ['req_aaaaaaaa', 'req_bbbbbbbb'].map((requestId) =>
        withLogContext({ requestId }, async () => {
          await wait(5);
          await withLogContext({ draftId: 'drf_1' }, () => Promise.resolve(logger.info('draft.accepted')));
          logger.info('request.ended');
        }),
      ),
    );
    logger.info('worker.idle');
    const seen = lines().map(({ event, requestId, draftId }) => [event, requestId, draftId]);
    expect(seen).toHaveLength(5);
    for (const requestId of ['req_aaaaaaaa', 'req_bbbbbbbb']) {
      expect(seen).toContainEqual(['draft.accepted', requestId, 'drf_1']);
      expect(seen).toContainEqual(['request.ended', requestId, undefined]);
    }
    expect(seen.at(-1)).toEqual(['worker.idle', undefined, undefined]);
  });

  it('takes a harmless request id over and makes a new one for any other', () => {
    const newId = (): string => 'req_new';
    expect(requestIdFrom('order-77_line-2', newId)).toBe('order-77_line-2');
    for (const header of [
      undefined,
      '',
      'short',
      'a'.repeat(65),
      'with space 12',
      'x\ny_aaaaaa',
      ['a', 'b'],
    ]) {
      expect(requestIdFrom(header, newId)).toBe('req_new');
    }
  });
});

describe('the adapter for Nest', () => {
  it('keeps where a line came from and none of its text', () => {
    const { logger, lines, text } = capture();
    NestFrontLogger.overrideLogger(new NestLogger(logger));
    const front = new NestFrontLogger('RoutesResolver');
    front.log('DraftsController {/v1/drafts}');
    front.warn('waist 812');
    front.error('waist 812', new Error('hip 1004').stack);
    front.error(new RangeError('hip 1004'));
    NestFrontLogger.overrideLogger(false);
    expect(lines().map(({ level, event, nestContext }) => [level, event, nestContext])).toEqual([
      ['debug', 'nest.logged', 'RoutesResolver'],
      ['warn', 'nest.warned', 'RoutesResolver'],
      ['error', 'nest.failed', 'RoutesResolver'],
      ['error', 'nest.failed', 'RoutesResolver'],
    ]);
    expect(text()).not.toMatch(/812|1004/);
    expect(lines()[2]['frames']).toBeDefined();
    expect(lines()[3]['errorName']).toBe('RangeError');
  });
});
