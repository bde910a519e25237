export { errorFields, pickedFields, type LogFields } from './log-fields.js';
export { createLogger, type Logger, type LoggerOptions, type LogLevel } from './logger.js';
export {
  createMetrics,
  type HttpObservation,
  type Metrics,
  type MetricsOptions,
  type ScrapeSources,
} from './metrics.js';
export { NestLogger } from './nest-logger.js';
export { observeRequests, type RequestObserverOptions } from './observe-requests.js';
export { logContext, requestIdFrom, withLogContext } from './request-context.js';
