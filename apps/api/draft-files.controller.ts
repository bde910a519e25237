import { Controller, Get, Param, Req, Res } from '@nestjs/common';
import type { Request, Response } from 'express';
import type { DraftFileAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { DraftFilesService } from './draft-files.service.js';
import { CallerParam } from './headers.js';
import { sendFile } from './send-file.js';

@Controller('v1/drafts/:id/files')
export class DraftFilesController {
  constructor(private readonly files: DraftFilesService) {}

  @Get()
  async list(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
  ): Promise<{ readonly items: readonly DraftFileAnswer[] }> {
    return { items: await this.files.list(caller, id) };
  }

  @Get(':name')
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
