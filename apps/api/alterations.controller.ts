import { Controller, Get, Param } from '@nestjs/common';
import type { AlterationAnswer } from '#contracts';
import { AlterationsService } from './alterations.service.js';
import { Describe } from './describe.js';
import { ALTERATION_OPERATIONS } from './store.operations.js';

@Controller('v1/alterations')
export class AlterationsController {
  constructor(private readonly alterations: AlterationsService) {}

  @Get()
  @Describe(ALTERATION_OPERATIONS.all)
  all(): { readonly items: readonly AlterationAnswer[] } {
    return { items: this.alterations.all() };
  }

  @Get(':name')
  @Describe(ALTERATION_OPERATIONS.find)
  find(@Param('name') name: string): AlterationAnswer {
    return this.alterations.find(name);
  }
}
