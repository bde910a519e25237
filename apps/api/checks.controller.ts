import { Body, Controller, Get, HttpCode, Param, Post, Query, Req, Res } from '@nestjs/common';
import type { Request, Response } from 'express';
import {
  CHECKS_QUERY,
  COMPARISON_QUERY,
  type AnswerPage,
  type CheckAnswer,
  type ComparisonAnswer,
  type DraftFileAnswer,
} from '#contracts';
import type { Caller } from './caller.js';
import { Describe } from './describe.js';
import { CallerParam, IdempotencyKey, LastEventId, PreferWait } from './headers.js';
import { CHECK_OPERATIONS } from './checks.operations.js';
import { ChecksService, type ChecksQuery } from './checks.service.js';
import { ReadPipe } from './read-pipe.js';
import { sayAccepted } from './say-headers.js';
import { sendEvents } from './send-events.js';
import { sendFile } from './send-file.js';

@Controller('v1/checks')
export class ChecksController {
  constructor(private readonly checks: ChecksService) {}

  @Post()
  @Describe(CHECK_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Body() sent: unknown,
    @IdempotencyKey() key: string | undefined,
    @PreferWait() waitS: number,
    @Res({ passthrough: true }) response: Response,
  ): Promise<CheckAnswer> {
    const { answer, replayed } = await this.checks.create(caller, sent, key);
    const check = await this.checks.waitFor(caller, answer, waitS * 1000);
    sayAccepted(response, check, { replayed, waitS });
    return check;
  }

  @Get()
  @Describe(CHECK_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Query(new ReadPipe(CHECKS_QUERY, 'query')) query: ChecksQuery,
  ): Promise<AnswerPage<CheckAnswer>> {
    return this.checks.page(caller, query);
  }

  @Get(':id')
  @Describe(CHECK_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('id') id: string): Promise<CheckAnswer> {
    return this.checks.find(caller, id);
  }

  @Post(':id/cancel')
  @HttpCode(200)
  @Describe(CHECK_OPERATIONS.cancel)
  cancel(@CallerParam() caller: Caller, @Param('id') id: string): Promise<CheckAnswer> {
    return this.checks.cancel(caller, id);
  }

  @Get(':id/comparison')
  @Describe(CHECK_OPERATIONS.compare)
  compare(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Query(new ReadPipe(COMPARISON_QUERY, 'query')) query: { readonly with: string },
  ): Promise<ComparisonAnswer> {
    return this.checks.compare(caller, id, query.with);
  }

  @Get(':id/files')
  @Describe(CHECK_OPERATIONS.files)
  async files(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
  ): Promise<{ readonly items: readonly DraftFileAnswer[] }> {
    return { items: await this.checks.files(caller, id) };
  }

  @Get(':id/files/:name')
  @Describe(CHECK_OPERATIONS.file)
  async send(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Param('name') name: string,
    @Req() request: Request,
    @Res() response: Response,
  ): Promise<void> {
    const file = await this.checks.file(caller, id, name);
    await sendFile(request, response, file, (range) => this.checks.open(file, range));
  }

  @Get(':id/events')
  @Describe(CHECK_OPERATIONS.events)
  async follow(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @LastEventId() after: number,
    @Req() request: Request,
    @Res() response: Response,
  ): Promise<void> {
    await sendEvents(request, response, 'check', (signal) => this.checks.follow(caller, id, after, signal));
  }
}
