import { Body, Controller, Get, HttpCode, Param, Post, Put, Query, Res } from '@nestjs/common';
import type { Response } from 'express';
import {
  DIFFERENCE_QUERY,
  PAGE_QUERY,
  READING_QUERY,
  type AlterationAnswer,
  type AlterationDifferenceAnswer,
  type AlterationReadingAnswer,
  type AnswerPage,
} from '#contracts';
import { ALTERATION_OPERATIONS } from './alterations.operations.js';
import { AlterationsService } from './alterations.service.js';
import type { Caller } from './caller.js';
import { Describe } from './describe.js';
import { CallerParam, IdempotencyKey } from './headers.js';
import type { PageQuery } from './mapped-page.js';
import { ReadPipe } from './read-pipe.js';
import { requireVersion } from './require-version.js';
import { sayCreated } from './say-headers.js';

@Controller('v1/alterations')
export class AlterationsController {
  constructor(private readonly alterations: AlterationsService) {}

  @Get()
  @Describe(ALTERATION_OPERATIONS.page)
  page(
    @CallerParam() caller: Caller,
    @Query(new ReadPipe(PAGE_QUERY, 'query')) query: PageQuery,
  ): Promise<AnswerPage<AlterationAnswer>> {
    return this.alterations.page(caller, query);
  }

  @Post()
  @Describe(ALTERATION_OPERATIONS.create)
  async create(
    @CallerParam() caller: Caller,
    @Body() json: unknown,
    @IdempotencyKey() key: string | undefined,
    @Res({ passthrough: true }) response: Response,
  ): Promise<AlterationAnswer> {
    const { answer, replayed } = await this.alterations.create(caller, json, key);
    sayCreated(response, answer.links.self, replayed);
    return answer;
  }

  @Get(':name')
  @Describe(ALTERATION_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('name') name: string): Promise<AlterationAnswer> {
    return this.alterations.find(caller, name);
  }

  @Put(':name/draft')
  @Describe(ALTERATION_OPERATIONS.saveDraft)
  saveDraft(
    @CallerParam() caller: Caller,
    @Param('name') name: string,
    @Body() json: unknown,
  ): Promise<AlterationAnswer> {
    return this.alterations.saveDraft(caller, name, json);
  }

  @Post(':name/publish')
  @HttpCode(200)
  @Describe(ALTERATION_OPERATIONS.publish)
  publish(@CallerParam() caller: Caller, @Param('name') name: string): Promise<AlterationAnswer> {
    return this.alterations.publish(caller, name);
  }

  @Get(':name/reading')
  @Describe(ALTERATION_OPERATIONS.reading)
  reading(
    @CallerParam() caller: Caller,
    @Param('name') name: string,
    @Query(new ReadPipe(READING_QUERY, 'query')) { version }: { readonly version?: number },
  ): Promise<AlterationReadingAnswer> {
    return this.alterations.reading(caller, name, version);
  }

  @Get(':name/difference')
  @Describe(ALTERATION_OPERATIONS.difference)
  difference(
    @CallerParam() caller: Caller,
    @Param('name') name: string,
    @Query(new ReadPipe(DIFFERENCE_QUERY, 'query')) query: { readonly from: number; readonly to: number },
  ): Promise<AlterationDifferenceAnswer> {
    return this.alterations.difference(caller, name, query);
  }

  @Get(':name/versions')
  @Describe(ALTERATION_OPERATIONS.versions)
  async versions(
    @CallerParam() caller: Caller,
    @Param('name') name: string,
  ): Promise<{ readonly items: readonly AlterationAnswer[] }> {
    return { items: await this.alterations.versions(caller, name) };
  }

  @Get(':name/versions/:version')
  @Describe(ALTERATION_OPERATIONS.findVersion)
  findVersion(
    @CallerParam() caller: Caller,
    @Param('name') name: string,
    @Param('version') version: string,
  ): Promise<AlterationAnswer> {
    return this.alterations.find(caller, name, requireVersion('alteration', version));
  }

  @Post(':name/versions/:version/retire')
  @HttpCode(200)
  @Describe(ALTERATION_OPERATIONS.retire)
  retire(
    @CallerParam() caller: Caller,
    @Param('name') name: string,
    @Param('version') version: string,
  ): Promise<AlterationAnswer> {
    return this.alterations.retire(caller, name, requireVersion('alteration', version));
  }
}
