import { Controller, Get, Param } from '@nestjs/common';
import type { AlterationAnswer } from '#contracts';
import { AlterationsService } from './alterations.service.js';

@Controller('v1/alterations')
export class AlterationsController {
  constructor(private readonly alterations: AlterationsService) {}

  @Get()
  all(): { readonly items: readonly AlterationAnswer[] } {
    return { items: this.alterations.all() };
  }

  @Get(':name')
  find(@Param('name') name: string): AlterationAnswer {
    return this.alterations.find(name);
  }
}
