import { Controller, Get, HttpCode, Param, Post, Query, Res } from '@nestjs/common';
import type { Response } from 'express';
import { DELIVERIES_QUERY, type AnswerPage, type DeliveryAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { DeliveriesService, type DeliveriesQuery } from './deliveries.service.js';
import { CallerParam, IdempotencyKey } from './headers.js';
import { ReadPipe } from './read-pipe.js';
import { sayReplayed } from './say-headers.js';
import { Describe } from './describe.js';
import { DELIVERY_OPERATIONS } from './outward.operations.js';

@Controller('v1/deliveries')
export class DeliveriesController {
  constructor(private readonly deliveries: DeliveriesService) {}

  @Get()
  @Describe(DELIVERY_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Query(new ReadPipe(DELIVERIES_QUERY, 'query')) query: DeliveriesQuery,
  ): Promise<AnswerPage<DeliveryAnswer>> {
    return this.deliveries.page(caller, query);
  }

  @Get(':id')
  @Describe(DELIVERY_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('id') id: string): Promise<DeliveryAnswer> {
    return this.deliveries.find(caller, id);
  }

  @Post(':id/redeliver')
  @HttpCode(202)
  @Describe(DELIVERY_OPERATIONS.redeliver)
  async redeliver(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @IdempotencyKey() key: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<DeliveryAnswer> {
    const { answer, replayed } = await this.deliveries.redeliver(caller, id, key);
    sayReplayed(response, replayed);
    return answer;
  }
}
