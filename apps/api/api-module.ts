import { Module, type DynamicModule } from '@nestjs/common';
import { AlterationsController } from './alterations.controller.js';
import { AlterationsService } from './alterations.service.js';
import { BlocksController } from './blocks.controller.js';
import { BlocksService } from './blocks.service.js';
import { BodiesController } from './bodies.controller.js';
import { BodiesService } from './bodies.service.js';
import { ChecksController } from './checks.controller.js';
import { ChecksResolver, RulesProfilesResolver } from './checks.resolver.js';
import { ChecksService } from './checks.service.js';
import { DeliveriesController } from './deliveries.controller.js';
import { DeliveriesService } from './deliveries.service.js';
import { DraftEventsController } from './draft-events.controller.js';
import { DraftFilesController } from './draft-files.controller.js';
import { DraftFilesService } from './draft-files.service.js';
import { DraftTokensController, TokensOfDraftController } from './draft-tokens.controller.js';
import { DraftTokensService } from './draft-tokens.service.js';
import { DraftsController } from './drafts.controller.js';
import { DraftsService } from './drafts.service.js';
import { DraftExportsController, ExportsController } from './exports.controller.js';
import { DraftTokensResolver, ExportsResolver } from './exports.resolver.js';
import { ExportsService } from './exports.service.js';
import { HealthController } from './health.controller.js';
import { HealthService } from './health.service.js';
import { MarkersController } from './markers.controller.js';
import { MarkersResolver } from './markers.resolver.js';
import { MarkersService } from './markers.service.js';
import { MetricsService } from './metrics.service.js';
import { PreviewsController } from './previews.controller.js';
import { PreviewsResolver } from './previews.resolver.js';
import { PreviewsService } from './previews.service.js';
import { ReferenceController } from './reference.controller.js';
import { ReferenceService } from './reference.service.js';
import { RulesProfilesController } from './rules-profiles.controller.js';
import { RulesProfilesService } from './rules-profiles.service.js';
import type { Services } from './services.js';
import { AlterationsResolver } from './alterations.resolver.js';
import { BlocksResolver, BodiesResolver } from './store.resolver.js';
import { DeliveriesResolver, WebhookEndpointsResolver } from './outward.resolver.js';
import { DraftsResolver } from './drafts.resolver.js';
import { graphqlModule } from './graphql-module.js';
import type { Logger } from '#observability';
import { WebhookEndpointsController } from './webhook-endpoints.controller.js';
import { WebhookEndpointsService } from './webhook-endpoints.service.js';

/** In the order of the reference page. */
export const CONTROLLERS = [
  DraftsController,
  PreviewsController,
  DraftFilesController,
  DraftEventsController,
  DraftExportsController,
  ExportsController,
  TokensOfDraftController,
  DraftTokensController,
  MarkersController,
  ChecksController,
  RulesProfilesController,
  BodiesController,
  BlocksController,
  AlterationsController,
  WebhookEndpointsController,
  DeliveriesController,
  HealthController,
  ReferenceController,
];

export const RESOLVERS = [
  DraftsResolver,
  PreviewsResolver,
  ExportsResolver,
  DraftTokensResolver,
  MarkersResolver,
  ChecksResolver,
  RulesProfilesResolver,
  BodiesResolver,
  BlocksResolver,
  AlterationsResolver,
  WebhookEndpointsResolver,
  DeliveriesResolver,
];

@Module({})
class ApiModule {}

/** Nest's view of the service: the controllers, and the services they are given. */
export function apiModule(services: Services, reference: ReferenceService, logger: Logger): DynamicModule {
  return {
    module: ApiModule,
    imports: [graphqlModule(logger)],
    controllers: CONTROLLERS,
    providers: [
      ...RESOLVERS,
      { provide: ReferenceService, useValue: reference },
      { provide: AlterationsService, useValue: services.alterations },
      { provide: BlocksService, useValue: services.blocks },
      { provide: BodiesService, useValue: services.bodies },
      { provide: ChecksService, useValue: services.checks },
      { provide: RulesProfilesService, useValue: services.rulesProfiles },
      { provide: DeliveriesService, useValue: services.deliveries },
      { provide: DraftFilesService, useValue: services.files },
      { provide: DraftsService, useValue: services.drafts },
      { provide: DraftTokensService, useValue: services.draftTokens },
      { provide: ExportsService, useValue: services.exports },
      { provide: HealthService, useValue: services.health },
      { provide: MarkersService, useValue: services.markers },
      { provide: PreviewsService, useValue: services.previews },
      { provide: MetricsService, useValue: services.metrics },
      { provide: WebhookEndpointsService, useValue: services.webhookEndpoints },
    ],
  };
}
