import { Module, type DynamicModule } from '@nestjs/common';
import { DraftsController } from './drafts.controller.js';
import { DraftsService } from './drafts.service.js';
import type { Services } from './services.js';

@Module({})
class ApiModule {}

/** Nest's view of the service: the controllers, and the services they are given. */
export function apiModule(services: Services): DynamicModule {
  return {
    module: ApiModule,
    controllers: [DraftsController],
    providers: [{ provide: DraftsService, useValue: services.drafts }],
  };
}
