import { Body, Controller, Get, Param, Post, Query, Req, Res } from '@nestjs/common';
import type { Request, Response } from 'express';
import { PAGE_QUERY, type AnswerPage, type ExportAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { Describe } from './describe.js';
import { EXPORT_OPERATIONS } from './exports.operations.js';
import { ExportsService } from './exports.service.js';
import { CallerParam, IdempotencyKey, LastEventId, PreferWait } from './headers.js';
import type { PageQuery } from './mapped-page.js';
import { ReadPipe } from './read-pipe.js';
import { sayAccepted } from './say-headers.js';
import { sendEvents } from './send-events.js';
import { sendFile } from './send-file.js';

@Controller('v1/drafts/:id/exports')
export class DraftExportsController {
  constructor(private readonly exports: ExportsService) {}

  @Post()
  @Describe(EXPORT_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @PreferWait() waitS: number,
    @Res({ passthrough: true }) response: Response,
  ): Promise<ExportAnswer> {
    const { answer, replayed } = await this.exports.create(caller, id, json, key);
    const made = await this.exports.waitFor(caller, answer, waitS * 1000);
    sayAccepted(response, made, { replayed, waitS });
    return made;
  }

  @Get()
  @Describe(EXPORT_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Query(new ReadPipe(PAGE_QUERY, 'query')) query: PageQuery,
  ): Promise<AnswerPage<ExportAnswer>> {
    return this.exports.page(caller, id, query);
  }
}

@Controller('v1/exports/:id')
export class ExportsController {
  constructor(private readonly exports: ExportsService) {}

  @Get()
  @Describe(EXPORT_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('id') id: string): Promise<ExportAnswer> {
    return this.exports.find(caller, id);
  }

  @Get('file')
  @Describe(EXPORT_OPERATIONS.file)
  async send(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Req() request: Request,
    @Res() response: Response,
  ): Promise<void> {
    const file = await this.exports.file(caller, id);
    await sendFile(request, response, file, (range) => this.exports.open(file, range));
  }

  @Get('events')
  @Describe(EXPORT_OPERATIONS.events)
  async follow(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @LastEventId() after: number,
    @Req() request: Request,
    @Res() response: Response,
  ): Promise<void> {
    await sendEvents(request, response, 'export', (signal) => this.exports.follow(caller, id, after, signal));
  }
}
