import { Body, Controller, Get, HttpCode, Param, Post, Query, Req, Res } from '@nestjs/common';
import type { Request, Response } from 'express';
import { MARKERS_QUERY, type AnswerPage, type DraftFileAnswer, type MarkerAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { Describe } from './describe.js';
import { CallerParam, IdempotencyKey, LastEventId, PreferWait } from './headers.js';
import { MARKER_OPERATIONS } from './markers.operations.js';
import { MarkersService, type MarkersQuery } from './markers.service.js';
import { ReadPipe } from './read-pipe.js';
import { sayAccepted } from './say-headers.js';
import { sendEvents } from './send-events.js';
import { sendFile } from './send-file.js';

@Controller('v1/markers')
export class MarkersController {
  constructor(private readonly markers: MarkersService) {}

  @Post()
  @Describe(MARKER_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @PreferWait() waitS: number,
    @Res({ passthrough: true }) response: Response,
  ): Promise<MarkerAnswer> {
    const { answer, replayed } = await this.markers.create(caller, json, key);
    const marker = await this.markers.waitFor(caller, answer, waitS * 1000);
    sayAccepted(response, marker, { replayed, waitS });
    return marker;
  }

  @Get()
  @Describe(MARKER_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Query(new ReadPipe(MARKERS_QUERY, 'query')) query: MarkersQuery,
  ): Promise<AnswerPage<MarkerAnswer>> {
    return this.markers.page(caller, query);
  }

  @Get(':id')
  @Describe(MARKER_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('id') id: string): Promise<MarkerAnswer> {
    return this.markers.find(caller, id);
  }

  @Post(':id/cancel')
  @HttpCode(200)
  @Describe(MARKER_OPERATIONS.cancel)
  cancel(@CallerParam() caller: Caller, @Param('id') id: string): Promise<MarkerAnswer> {
    return this.markers.cancel(caller, id);
  }

  @Get(':id/files')
  @Describe(MARKER_OPERATIONS.files)
  async files(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
  ): Promise<{ readonly items: readonly DraftFileAnswer[] }> {
    return { items: await this.markers.files(caller, id) };
  }

  @Get(':id/files/:name')
  @Describe(MARKER_OPERATIONS.file)
  async send(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Param('name') name: string,
    @Req() request: Request,
    @Res() response: Response,
  ): Promise<void> {
    const file = await this.markers.file(caller, id, name);
    await sendFile(request, response, file, (range) => this.markers.open(file, range));
  }

  @Get(':id/events')
  @Describe(MARKER_OPERATIONS.events)
  async follow(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @LastEventId() after: number,
    @Req() request: Request,
    @Res() response: Response,
  ): Promise<void> {
    await sendEvents(request, response, 'marker', (signal) => this.markers.follow(caller, id, after, signal));
  }
}
