import { Body, Controller, HttpCode, Post, Res } from '@nestjs/common';
import type { Response } from 'express';
import { PREVIEW, PREVIEW_REQUEST_FORM, type PreviewAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { Describe, type Operation } from './describe.js';
import { CallerParam } from './headers.js';
import { PreviewsService } from './previews.service.js';

const CREATE = {
  id: 'createPreview',
  tag: 'Drafts',
  summary: 'Preview a draft: pieces and findings at once, nothing kept',
  description:
    'For a person moving a slider: a draft request without `outputs`, `finish`, `reference` and `dated`. Hang up to cancel it.',
  body: PREVIEW_REQUEST_FORM,
  answers: { 200: { says: 'Outlines, what they measure, findings.', schema: PREVIEW } },
} as const satisfies Operation;

@Controller('v1/previews')
export class PreviewsController {
  constructor(private readonly previews: PreviewsService) {}

  @Post()
  @HttpCode(200)
  @Describe(CREATE)
  create(
    @CallerParam() caller: Caller,
    @Body() json: unknown,
    @Res({ passthrough: true }) response: Response,
  ): Promise<PreviewAnswer> {
    const gone = new AbortController();
    // Closed before it was answered: the caller has hung up.
    response.once('close', () => gone.abort());
    return this.previews.make(caller, json, gone.signal);
  }
}
