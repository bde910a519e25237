import type { LoggerService } from '@nestjs/common';
import type { Logger } from './logger.js';

/**
 * Nest's own words through our logger. Of its text nothing is kept, only where it came from: its error lines quote
 * exceptions, which may quote requests.
 */
export class NestLogger implements LoggerService {
  constructor(private readonly logger: Logger) {}

  log(_message: unknown, ...rest: unknown[]): void {
    this.logger.debug('nest.logged', contextOf(rest));
  }

  debug(_message: unknown, ...rest: unknown[]): void {
    this.logger.debug('nest.logged', contextOf(rest));
  }

  verbose(_message: unknown, ...rest: unknown[]): void {
    this.logger.debug('nest.logged', contextOf(rest));
  }

  warn(_message: unknown, ...rest: unknown[]): void {
    this.logger.warn('nest.warned', contextOf(rest));
  }

  error(message: unknown, ...rest: unknown[]): void {
    this.logger.error('nest.failed', contextOf(rest), errorOf(message, rest));
  }

  fatal(message: unknown, ...rest: unknown[]): void {
    this.error(message, ...rest);
  }
}

/** Nest passes its context last; whether it is a harmless word is for the logger to see. */
function contextOf(rest: readonly unknown[]): { readonly nestContext?: string } {
  const last = rest.at(-1);
  return typeof last === 'string' ? { nestContext: last } : {};
}

/** An exception, or a text with its stack beside it. */
function errorOf(message: unknown, rest: readonly unknown[]): unknown {
  if (typeof message === 'object') return message;
  return {
    name: 'NestError',
    stack: rest.find((value) => typeof value === 'string' && value.includes('\n')),
  };
}
