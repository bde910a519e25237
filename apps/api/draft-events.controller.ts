import { Controller, Get, Param, Req, Res } from '@nestjs/common';
import type { Request, Response } from 'express';
import type { Caller } from './caller.js';
import { DraftsService } from './drafts.service.js';
import { CallerParam, LastEventId } from './headers.js';
import { sendEvents } from './send-events.js';
import { Describe } from './describe.js';
import { DRAFT_OPERATIONS } from './drafts.operations.js';

@Controller('v1/drafts/:id/events')
export class DraftEventsController {
  constructor(private readonly drafts: DraftsService) {}

  @Get()
  @Describe(DRAFT_OPERATIONS.events)
  async follow(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @LastEventId() after: number,
    @Req() request: Request,
    @Res() response: Response,
  ): Promise<void> {
    await sendEvents(request, response, 'draft', (signal) => this.drafts.follow(caller, id, after, signal));
  }
}
