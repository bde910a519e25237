/**
 * All that a log line may carry, by name. What is not listed here is dropped, so a body measure, a name or a secret
 * cannot get into a log by being in some object that was passed along.
 *
 * Before adding a field: it must not be able to hold anything that a customer typed.
 */
const FIELDS = {
  service: 'text',
  engine: 'text',
  requestId: 'text',
  shopId: 'text',
  draftId: 'text',
  exportId: 'text',
  checkId: 'text',
  markerId: 'text',
  deliveryId: 'text',
  endpointId: 'text',
  outboxId: 'text',
  jobId: 'text',
  jobName: 'text',
  task: 'text',
  code: 'text',
  errorName: 'text',
  reason: 'text',
  state: 'text',
  outcome: 'text',
  method: 'text',
  /** The route's template, never the path that was asked for. */
  route: 'text',
  backend: 'text',
  signal: 'text',
  nestContext: 'text',
  attempt: 'number',
  attemptsMax: 'number',
  sequence: 'number',
  status: 'number',
  durationMs: 'number',
  count: 'number',
  bytes: 'number',
  port: 'number',
} as const;

export type LogFields = {
  readonly [Name in keyof typeof FIELDS]?: (typeof FIELDS)[Name] extends 'number' ? number : string;
};

/** Ids, codes and names of ours: no spaces, no quotes, nothing long enough to smuggle an object in. */
const TEXT = /^[A-Za-z0-9_.:/{}*@-]{1,120}$/;

/** The listed fields with a value of their kind; all else is left out without a word. */
export function pickedFields(fields: object): LogFields {
  const known = Object.entries(fields).filter(([name, value]) => isLoggable(name, value));
  return Object.fromEntries(known);
}

function isLoggable(name: string, value: unknown): boolean {
  if (!Object.hasOwn(FIELDS, name)) return false;
  const kind = FIELDS[name as keyof typeof FIELDS];
  if (kind === 'number') return typeof value === 'number' && Number.isFinite(value);
  return typeof value === 'string' && TEXT.test(value);
}

/**
 * What may be told of an error: its name, its code and where it was thrown. Never its message, which may quote what
 * a customer sent.
 */
export function errorFields(error: unknown): LogFields & { readonly frames?: readonly string[] } {
  if (typeof error !== 'object' || error === null) return { errorName: typeof error };
  const { name, code, stack } = error as { name?: unknown; code?: unknown; stack?: unknown };
  return { ...pickedFields({ errorName: name, code }), ...framesOf(stack) };
}

const FRAMES_MAX = 12;
/** A frame holds a function's name and a place in a file. */
const FRAME = /^\s+at (?:[\w$.<>[\] #]{1,100} )?\(?(?:file:|node:|\/)[^\s()]{1,300}:\d+:\d+\)?$/;

function framesOf(stack: unknown): { readonly frames?: readonly string[] } {
  if (typeof stack !== 'string') return {};
  const frames = stack.split('\n').filter((line) => FRAME.test(line));
  return frames.length === 0 ? {} : { frames: frames.slice(0, FRAMES_MAX).map((line) => line.trim()) };
}
