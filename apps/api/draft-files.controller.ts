import { Controller, Get, Param, Req, Res } from '@nestjs/common';
import type { Request, Response } from 'express';
import type { DraftFileAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { DraftFilesService } from './draft-files.service.js';
import { CallerParam } from './headers.js';
import { sendFile } from './send-file.js';
import { Describe } from './describe.js';
import { DRAFT_OPERATIONS } from './drafts.operations.js';

@Controller('v1/drafts/:id/files')
export class DraftFilesController {
  constructor(private readonly files: DraftFilesService) {}

  @Get()
  @Describe(DRAFT_OPERATIONS.files)
  async list(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
  ): Promise<{ readonly items: readonly DraftFileAnswer[] }> {
    return { items: await this.files.list(caller, id) };
  }

  @Get(':name')
  @Describe(DRAFT_OPERATIONS.file)
  async send(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Param('name') name: string,
    @Req() request: Request,
    @Res() response: Response,
  ): Promise<void> {
    const file = await this.files.find(caller, id, name);
    await sendFile(request, response, file, (range) => this.files.open(file, range));
  }
}
