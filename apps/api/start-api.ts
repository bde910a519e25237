import 'reflect-metadata';
import { randomUUID } from 'node:crypto';
import type { AddressInfo } from 'node:net';
import { NestFactory } from '@nestjs/core';
import { GraphQLSchemaHost } from '@nestjs/graphql';
import { openGraphqlSocket, type GraphqlSocket } from './graphql-socket.js';
import type { NestExpressApplication } from '@nestjs/platform-express';
import {
  createLogger,
  createMetrics,
  NestLogger,
  observeRequests,
  type Logger,
  type Metrics,
} from '#observability';
import { openDatabase } from '#persistence';
import type { Settings } from '#settings';
import type { FileStore } from '#storage';
import { allowMethods } from './allow-methods.js';
import { apiModule, CONTROLLERS } from './api-module.js';
import { routesOf } from './describe.js';
import { openApiText, sdlText } from './descriptions.js';
import { ReferenceService } from './reference.service.js';
import { createServices, type Services } from './services.js';
import { authenticate } from './authenticate.js';
import { ProblemFilter } from './problem-filter.js';
import { readBody } from './read-body.js';

export interface ApiGround {
  /** Migrated already: whoever starts the service does it first. */
  readonly databaseUrl: string;
  readonly store: FileStore;
  readonly logger?: Logger;
  readonly metrics?: Metrics;
  /** Milliseconds since 1970. */
  readonly now?: () => number;
  /** Requests of one key; generous by default, since a shop has several computers behind one. */
  readonly rate?: { readonly burst: number; readonly perSecond: number };
}

export interface RunningApi {
  readonly url: string;
  close(): Promise<void>;
}

/**
 * Longer than clients and proxies keep a connection that nothing comes over (a minute, by common practice): whoever
 * ends it first must not be the side that a request is on its way to, which would be answered by a reset.
 */
const KEEP_ALIVE_MS = 65_000;

/**
 * Start the HTTP service in this process.
 *
 * `close` answers what is under way, at most as long as the settings' grace, and lets go of the database.
 */
export async function startApi(settings: Settings, ground: ApiGround): Promise<RunningApi> {
  const { now = Date.now } = ground;
  const logger = ground.logger ?? createLogger({ level: settings.logLevel, base: { service: 'api' } });
  const metrics = ground.metrics ?? createMetrics({ processMetrics: 'collect' });
  const database = openDatabase({ url: ground.databaseUrl, connectionsMax: settings.databaseConnectionsMax });
  const services = createServices({ settings, ...ground, now, logger, metrics, database });
  const texts = { openApi: openApiText(), sdl: await sdlText() };
  const reference = new ReferenceService(texts);
  const app = await NestFactory.create<NestExpressApplication>(apiModule(services, reference, logger), {
    bodyParser: false,
    logger: new NestLogger(logger),
    abortOnError: false,
  });
  app.disable('x-powered-by');
  app.use(observeRequests({ logger, metrics, newId: randomUUID }));
  const routes = routesOf(CONTROLLERS);
  app.use(allowMethods([...routes, { method: 'post', path: '/graphql' }]));
  for (const path of ['/v1', '/graphql']) app.use(path, authenticate(services.authenticator, routes));
  app.use(readBody(ground.store, settings));
  app.useGlobalFilters(new ProblemFilter(logger));
  await app.init();
  const server = app.getHttpServer();
  server.keepAliveTimeout = KEEP_ALIVE_MS;
  const socket = openGraphqlSocket(server, {
    schema: app.get(GraphQLSchemaHost).schema,
    authenticator: services.authenticator,
    logger,
    messageBytesMax: settings.requestBytesMax,
  });
  await app.listen(settings.port, settings.host);
  const url = `http://${hostInUrl(settings.host)}:${(server.address() as AddressInfo).port}`;
  services.links.setBase(settings.publicUrl ?? url);
  return { url, close: () => close(app, socket, services, settings.closeGraceMs) };
}

function hostInUrl(host: string): string {
  if (host === '0.0.0.0' || host === '::') return 'localhost';
  return host.includes(':') ? `[${host}]` : host;
}

async function close(
  app: NestExpressApplication,
  socket: GraphqlSocket,
  services: Services,
  graceMs: number,
): Promise<void> {
  const server = app.getHttpServer();
  // Streams and waits end first: they would hold their connections until the grace is over.
  await services.feed.close();
  await socket.close();
  const late = setTimeout(() => server.closeAllConnections(), graceMs);
  await app.close();
  clearTimeout(late);
  await services.previews.close();
  await services.database.close();
}
