import { Body, Controller, Delete, Get, HttpCode, Param, Patch, Post, Query, Res } from '@nestjs/common';
import type { Response } from 'express';
import { PAGE_QUERY, type AnswerPage, type WebhookEndpointAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { CallerParam, IdempotencyKey } from './headers.js';
import type { PageQuery } from './mapped-page.js';
import { ReadPipe } from './read-pipe.js';
import { sayCreated, sayReplayed } from './say-headers.js';
import { WebhookEndpointsService } from './webhook-endpoints.service.js';
import { Describe } from './describe.js';
import { WEBHOOK_ENDPOINT_OPERATIONS } from './outward.operations.js';

@Controller('v1/webhook-endpoints')
export class WebhookEndpointsController {
  constructor(private readonly endpoints: WebhookEndpointsService) {}

  @Post()
  @Describe(WEBHOOK_ENDPOINT_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<WebhookEndpointAnswer> {
    const { answer, replayed } = await this.endpoints.create(caller, json, key);
    sayCreated(response, answer.links.self, replayed);
    return answer;
  }

  @Get()
  @Describe(WEBHOOK_ENDPOINT_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Query(new ReadPipe(PAGE_QUERY, 'query')) query: PageQuery,
  ): Promise<AnswerPage<WebhookEndpointAnswer>> {
    return this.endpoints.page(caller, query);
  }

  @Get(':id')
  @Describe(WEBHOOK_ENDPOINT_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('id') id: string): Promise<WebhookEndpointAnswer> {
    return this.endpoints.find(caller, id);
  }

  @Patch(':id')
  @Describe(WEBHOOK_ENDPOINT_OPERATIONS.change)
  change(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Body() json: unknown,
  ): Promise<WebhookEndpointAnswer> {
    return this.endpoints.change(caller, id, json);
  }

  @Post(':id/rotate-secret')
  @HttpCode(200)
  @Describe(WEBHOOK_ENDPOINT_OPERATIONS.rotateSecret)
  async rotateSecret(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @IdempotencyKey() key: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<WebhookEndpointAnswer> {
    const { answer, replayed } = await this.endpoints.rotateSecret(caller, id, key);
    sayReplayed(response, replayed);
    return answer;
  }

  @Delete(':id')
  @HttpCode(204)
  @Describe(WEBHOOK_ENDPOINT_OPERATIONS.remove)
  remove(@CallerParam() caller: Caller, @Param('id') id: string): Promise<void> {
    return this.endpoints.remove(caller, id);
  }
}
