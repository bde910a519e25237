import { Body, Controller, Delete, Get, HttpCode, Param, Post, Put, Query, Res } from '@nestjs/common';
import type { Response } from 'express';
import { BODIES_QUERY, type AnswerPage, type BodyAnswer } from '#contracts';
import { BodiesService, bodyTag, type BodiesQuery } from './bodies.service.js';
import type { Caller } from './caller.js';
import { CallerParam, IdempotencyKey, IfMatch } from './headers.js';
import { ReadPipe } from './read-pipe.js';
import { sayCreated } from './say-headers.js';
import { Describe } from './describe.js';
import { BODY_OPERATIONS } from './store.operations.js';

@Controller('v1/bodies')
export class BodiesController {
  constructor(private readonly bodies: BodiesService) {}

  @Post()
  @Describe(BODY_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<BodyAnswer> {
    const { answer, replayed } = await this.bodies.create(caller, json, key);
    sayCreated(response, answer.links.self, replayed);
    return sayVersion(response, answer);
  }

  @Get()
  @Describe(BODY_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Query(new ReadPipe(BODIES_QUERY, 'query')) query: BodiesQuery,
  ): Promise<AnswerPage<BodyAnswer>> {
    return this.bodies.page(caller, query);
  }

  @Get(':id')
  @Describe(BODY_OPERATIONS.find)
  async find(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Res({ passthrough: true }) response: Response,
  ): Promise<BodyAnswer> {
    return sayVersion(response, await this.bodies.find(caller, id));
  }

  @Put(':id')
  @Describe(BODY_OPERATIONS.replace)
  async replace(
    @CallerParam() caller: Caller,
    @Param('id') id: string,
    @Body() json: unknown,
    @IfMatch() ifMatch: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<BodyAnswer> {
    return sayVersion(response, await this.bodies.replace(caller, id, json, ifMatch));
  }

  @Delete(':id')
  @HttpCode(204)
  @Describe(BODY_OPERATIONS.erase)
  erase(@CallerParam() caller: Caller, @Param('id') id: string): Promise<void> {
    return this.bodies.erase(caller, id);
  }
}

function sayVersion(response: Response, body: BodyAnswer): BodyAnswer {
  response.setHeader('ETag', bodyTag(body.updatedAt));
  return body;
}
