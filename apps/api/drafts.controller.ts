import { Body, Controller, Get, HttpCode, Param, Post, Query, Res } from '@nestjs/common';
import type { Response } from 'express';
import { DRAFTS_QUERY, type AnswerPage, type DraftAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { DraftsService, type DraftsQuery } from './drafts.service.js';
import { CallerParam, IdempotencyKey, PreferWait } from './headers.js';
import { sayAccepted } from './say-headers.js';
import { ReadPipe } from './read-pipe.js';
import { Describe } from './describe.js';
import { DRAFT_OPERATIONS } from './drafts.operations.js';

@Controller('v1/drafts')
export class DraftsController {
  constructor(private readonly drafts: DraftsService) {}

  @Post()
  @Describe(DRAFT_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @PreferWait() waitS: number,
    @Res({ passthrough: true }) response: Response,
  ): Promise<DraftAnswer> {
    const { answer, replayed } = await this.drafts.create(caller, json, key);
    const draft = await this.drafts.waitFor(caller, answer, waitS * 1000);
    sayAccepted(response, draft, { replayed, waitS });
    return draft;
  }

  @Get()
  @Describe(DRAFT_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Query(new ReadPipe(DRAFTS_QUERY, 'query')) query: DraftsQuery,
  ): Promise<AnswerPage<DraftAnswer>> {
    return this.drafts.page(caller, query);
  }

  @Get(':id')
  @Describe(DRAFT_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('id') id: string): Promise<DraftAnswer> {
    return this.drafts.find(caller, id);
  }

  @Post(':id/cancel')
  @HttpCode(200)
  @Describe(DRAFT_OPERATIONS.cancel)
  cancel(@CallerParam() caller: Caller, @Param('id') id: string): Promise<DraftAnswer> {
    return this.drafts.cancel(caller, id);
  }
}
