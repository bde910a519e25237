import { Controller, Get, Res } from '@nestjs/common';
import type { Response } from 'express';
import { HealthService, type Readiness } from './health.service.js';
import { MetricsService } from './metrics.service.js';
import { Describe } from './describe.js';
import { HEALTH_OPERATIONS } from './outward.operations.js';

@Controller()
export class HealthController {
  constructor(
    private readonly health: HealthService,
    private readonly metrics: MetricsService,
  ) {}

  /** The process runs. Asks nobody, so that a database that is away does not get the process restarted. */
  @Get('healthz')
  @Describe(HEALTH_OPERATIONS.alive)
  alive(): { readonly alive: true } {
    return { alive: true };
  }

  @Get('readyz')
  @Describe(HEALTH_OPERATIONS.ready)
  async ready(@Res({ passthrough: true }) response: Response): Promise<Readiness> {
    const readiness = await this.health.readiness();
    response.status(readiness.ready ? 200 : 503);
    return readiness;
  }

  @Get('metrics')
  @Describe(HEALTH_OPERATIONS.metrics)
  async exposition(@Res() response: Response): Promise<void> {
    const { contentType, text } = await this.metrics.exposition();
    response.setHeader('Content-Type', contentType).end(text);
  }
}
