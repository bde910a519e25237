import { Body, Controller, Delete, Get, HttpCode, Param, Put } from '@nestjs/common';
import type { RulesProfileAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { RULES_OPERATIONS } from './checks.operations.js';
import { Describe } from './describe.js';
import { CallerParam } from './headers.js';
import { RulesProfilesService } from './rules-profiles.service.js';

@Controller('v1/rules-profiles')
export class RulesProfilesController {
  constructor(private readonly profiles: RulesProfilesService) {}

  @Get()
  @Describe(RULES_OPERATIONS.all)
  async all(@CallerParam() caller: Caller): Promise<{ readonly items: readonly RulesProfileAnswer[] }> {
    return { items: await this.profiles.all(caller) };
  }

  @Get(':name')
  @Describe(RULES_OPERATIONS.find)
  find(@CallerParam() caller: Caller, @Param('name') name: string): Promise<RulesProfileAnswer> {
    return this.profiles.find(caller, name);
  }

  @Put(':name')
  @Describe(RULES_OPERATIONS.put)
  put(
    @CallerParam() caller: Caller,
    @Param('name') name: string,
    @Body() json: unknown,
  ): Promise<RulesProfileAnswer> {
    return this.profiles.put(caller, name, json);
  }

  @Delete(':name')
  @HttpCode(204)
  @Describe(RULES_OPERATIONS.remove)
  remove(@CallerParam() caller: Caller, @Param('name') name: string): Promise<void> {
    return this.profiles.remove(caller, name);
  }
}
