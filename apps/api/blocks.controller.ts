import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query, Res } from '@nestjs/common';
import type { Response } from 'express';
import { PAGE_QUERY, type AnswerPage, type BlockAnswer } from '#contracts';
import { BlocksService } from './blocks.service.js';
import type { Caller } from './caller.js';
import { CallerParam, IdempotencyKey } from './headers.js';
import type { PageQuery } from './mapped-page.js';
import { ReadPipe } from './read-pipe.js';
import { sayCreated } from './say-headers.js';
import { Describe } from './describe.js';
import { BLOCK_OPERATIONS } from './store.operations.js';

@Controller('v1/blocks')
export class BlocksController {
  constructor(private readonly blocks: BlocksService) {}

  @Post()
  @Describe(BLOCK_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<BlockAnswer> {
    const { answer, replayed } = await this.blocks.create(caller, json, key);
    sayCreated(response, answer.links.self, replayed);
    return answer;
  }

  @Get()
  @Describe(BLOCK_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Query(new ReadPipe(PAGE_QUERY, 'query')) query: PageQuery,
  ): Promise<AnswerPage<BlockAnswer>> {
    return this.blocks.page(caller, query);
  }

  @Get(':id')
  @Describe(BLOCK_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('id') id: string): Promise<BlockAnswer> {
    return this.blocks.find(caller, id);
  }

  @Post(':id/versions')
  @Describe(BLOCK_OPERATIONS.addVersion)
  async addVersion(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<BlockAnswer> {
    const { answer, replayed } = await this.blocks.addVersion(caller, id, json, key);
    sayCreated(response, `${answer.links.versions}/${answer.version}`, replayed);
    return answer;
  }

  @Get(':id/versions/:version')
  @Describe(BLOCK_OPERATIONS.findVersion)
  findVersion(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Param('version') version: string,
  ): Promise<BlockAnswer> {
    return this.blocks.find(caller, id, version);
  }

  @Delete(':id')
  @HttpCode(204)
  @Describe(BLOCK_OPERATIONS.remove)
  remove(@CallerParam() caller: Caller, @Param('id') id: string): Promise<void> {
    return this.blocks.remove(caller, id);
  }
}
