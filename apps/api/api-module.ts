import { Module, type DynamicModule } from '@nestjs/common';
import { AlterationsController } from './alterations.controller.js';
import { AlterationsService } from './alterations.service.js';
import { BlocksController } from './blocks.controller.js';
import { BlocksService } from './blocks.service.js';
import { BodiesController } from './bodies.controller.js';
import { BodiesService } from './bodies.service.js';
import { DeliveriesController } from './deliveries.controller.js';
import { DeliveriesService } from './deliveries.service.js';
import { DraftEventsController } from './draft-events.controller.js';
import { DraftFilesController } from './draft-files.controller.js';
import { DraftFilesService } from './draft-files.service.js';
import { DraftsController } from './drafts.controller.js';
import { DraftsService } from './drafts.service.js';
import { HealthController } from './health.controller.js';
import { HealthService } from './health.service.js';
import { MetricsService } from './metrics.service.js';
import type { Services } from './services.js';
import { WebhookEndpointsController } from './webhook-endpoints.controller.js';
import { WebhookEndpointsService } from './webhook-endpoints.service.js';

/** In the order of the reference page. */
export const CONTROLLERS = [
  DraftsController,
  DraftFilesController,
  DraftEventsController,
  BodiesController,
  BlocksController,
  AlterationsController,
  WebhookEndpointsController,
  DeliveriesController,
  HealthController,
];

@Module({})
class ApiModule {}

/** Nest's view of the service: the controllers, and the services they are given. */
export function apiModule(services: Services): DynamicModule {
  return {
    module: ApiModule,
    controllers: CONTROLLERS,
    providers: [
      { provide: AlterationsService, useValue: services.alterations },
      { provide: BlocksService, useValue: services.blocks },
      { provide: BodiesService, useValue: services.bodies },
      { provide: DeliveriesService, useValue: services.deliveries },
      { provide: DraftFilesService, useValue: services.files },
      { provide: DraftsService, useValue: services.drafts },
      { provide: HealthService, useValue: services.health },
      { provide: MetricsService, useValue: services.metrics },
      { provide: WebhookEndpointsService, useValue: services.webhookEndpoints },
    ],
  };
}
