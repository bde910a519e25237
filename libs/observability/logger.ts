import { pino, stdTimeFunctions, type DestinationStream } from 'pino';
import { errorFields, pickedFields, type LogFields } from './log-fields.js';
import { logContext } from './request-context.js';

export type LogLevel = 'debug' | 'info' | 'warn' | 'error' | 'silent';

export interface LoggerOptions {
  readonly level: LogLevel;
  /** On every line: which service, which engine version. */
  readonly base: LogFields;
  /** Standard output where not given. */
  readonly destination?: DestinationStream;
}

/**
 * One line of JSON an event: `noun.past`, e.g. "draft.ready", and the fields of `LogFields`.
 *
 * There is no free text. An event with anything but lower-case words in it is logged as "event.unnamed": a sentence
 * with a number in it is how measures get into logs.
 */
export interface Logger {
  debug(event: string, fields?: LogFields): void;
  info(event: string, fields?: LogFields): void;
  warn(event: string, fields?: LogFields, error?: unknown): void;
  error(event: string, fields: LogFields, error: unknown): void;
  /** Wait until all lines are written. */
  flush(): Promise<void>;
}

const EVENT = /^[a-z]+(?:[.-][a-z]+)*$/;

export function createLogger({ level, base, destination }: LoggerOptions): Logger {
  const options = {
    level,
    base: null,
    messageKey: 'event',
    timestamp: stdTimeFunctions.isoTime,
    formatters: { level: (label: string) => ({ level: label }) },
  };
  const lines = destination === undefined ? pino(options) : pino(options, destination);
  const fixed = pickedFields(base);
  const write = (
    at: 'debug' | 'info' | 'warn' | 'error',
    event: string,
    fields: LogFields = {},
    error: object = {},
  ): void => {
    const named = EVENT.test(event) ? event : 'event.unnamed';
    lines[at]({ ...fixed, ...logContext(), ...pickedFields(fields), ...error }, named);
  };
  return {
    debug: (event, fields) => write('debug', event, fields),
    info: (event, fields) => write('info', event, fields),
    warn: (event, fields, error) =>
      write('warn', event, fields, error === undefined ? {} : errorFields(error)),
    error: (event, fields, error) => write('error', event, fields, errorFields(error)),
    flush: () => new Promise((resolve) => lines.flush(() => resolve())),
  };
}
