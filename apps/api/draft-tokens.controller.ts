import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query, Res } from '@nestjs/common';
import type { Response } from 'express';
import { PAGE_QUERY, type AnswerPage, type DraftTokenAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { Describe } from './describe.js';
import { DraftTokensService } from './draft-tokens.service.js';
import { DRAFT_TOKEN_OPERATIONS } from './exports.operations.js';
import { CallerParam, IdempotencyKey } from './headers.js';
import type { PageQuery } from './mapped-page.js';
import { ReadPipe } from './read-pipe.js';
import { sayCreated } from './say-headers.js';

@Controller('v1/drafts/:id/tokens')
export class TokensOfDraftController {
  constructor(private readonly tokens: DraftTokensService) {}

  @Post()
  @Describe(DRAFT_TOKEN_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<DraftTokenAnswer> {
    const { answer, replayed } = await this.tokens.create(caller, id, json, key);
    sayCreated(response, answer.links.self, replayed);
    // No cache on the way may keep it.
    response.setHeader('Cache-Control', 'no-store');
    return answer;
  }

  @Get()
  @Describe(DRAFT_TOKEN_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Query(new ReadPipe(PAGE_QUERY, 'query')) query: PageQuery,
  ): Promise<AnswerPage<DraftTokenAnswer>> {
    return this.tokens.page(caller, id, query);
  }
}

@Controller('v1/draft-tokens/:id')
export class DraftTokensController {
  constructor(private readonly tokens: DraftTokensService) {}

  @Get()
  @Describe(DRAFT_TOKEN_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('id') id: string): Promise<DraftTokenAnswer> {
    return this.tokens.find(caller, id);
  }

  @Delete()
  @HttpCode(204)
  @Describe(DRAFT_TOKEN_OPERATIONS.revoke)
  revoke(@CallerParam() caller: Caller, @Param('id') id: string): Promise<void> {
    return this.tokens.revoke(caller, id);
  }
}
