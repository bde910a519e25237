import { z } from 'zod';

export interface Setting<Schema extends z.ZodType = z.ZodType> {
  /** The environment variable. */
  readonly name: string;
  /** What it may be, in words, for the table and for error messages. */
  readonly type: string;
  /** As it would be written in the environment; parsed like any other value. Absent: may be left out. */
  readonly default?: string;
  /** One sentence: what it does. */
  readonly help: string;
  /** A secret's value is never shown, not even in a complaint about it. */
  readonly visibility: 'open' | 'secret';
  readonly schema: Schema;
}

/** Keeps the definition's own type, so that what has a default is known to be there. */
const setting = <const Definition extends Setting>(definition: Definition): Definition => definition;

const whole = (min: number, max: number) =>
  z
    .string()
    .regex(/^\d{1,12}$/)
    .transform(Number)
    .pipe(z.number().int().min(min).max(max));
const wholeType = (min: number, max: number): string => `whole number, ${min} to ${max}`;
const wordsOf = <const Word extends string>(...words: readonly [Word, ...Word[]]) => z.enum(words);
const urlOf = (...schemes: readonly string[]) =>
  z.string().refine((text) => URL.canParse(text) && schemes.includes(new URL(text).protocol.slice(0, -1)));
const listOf = (entry: RegExp) =>
  z
    .string()
    .transform((text) =>
      text
        .split(',')
        .map((part) => part.trim())
        .filter((part) => part !== ''),
    )
    .refine((parts) => parts.every((part) => entry.test(part)));

/**
 * Every setting of every process, in the order of the README's table.
 *
 * One table for api, worker and command line, because they are set up side by side and must agree.
 */
export const SETTINGS = {
  host: setting({
    name: 'FORKLINE_HOST',
    type: 'address or host name',
    default: '127.0.0.1',
    help: 'Address the API listens on.',
    visibility: 'open',
    schema: z.string().regex(/^[A-Za-z0-9.:-]{1,255}$/),
  }),
  port: setting({
    name: 'FORKLINE_PORT',
    type: wholeType(0, 65_535),
    default: '8080',
    help: 'Port the API listens on; 0 takes a free one and prints it.',
    visibility: 'open',
    schema: whole(0, 65_535),
  }),
  workerHost: setting({
    name: 'FORKLINE_WORKER_HOST',
    type: 'address or host name',
    default: '127.0.0.1',
    help: 'Address the worker answers /healthz, /readyz and /metrics on.',
    visibility: 'open',
    schema: z.string().regex(/^[A-Za-z0-9.:-]{1,255}$/),
  }),
  workerPort: setting({
    name: 'FORKLINE_WORKER_PORT',
    type: wholeType(0, 65_535),
    default: '8081',
    help: 'Port of the same; 0 takes a free one.',
    visibility: 'open',
    schema: whole(0, 65_535),
  }),
  publicUrl: setting({
    name: 'FORKLINE_PUBLIC_URL',
    type: 'http or https URL',
    help: 'Address of the API as callers see it, for links in answers and webhooks; the listening address if left out.',
    visibility: 'open',
    schema: urlOf('http', 'https'),
  }),
  databaseUrl: setting({
    name: 'DATABASE_URL',
    type: 'postgres URL',
    help: 'The PostgreSQL database; an embedded server in the data folder if left out.',
    visibility: 'secret',
    schema: urlOf('postgres', 'postgresql'),
  }),
  databaseConnectionsMax: setting({
    name: 'FORKLINE_DATABASE_CONNECTIONS_MAX',
    type: wholeType(2, 200),
    default: '10',
    help: 'Connections one process may hold to the database, the queue’s own not counted.',
    visibility: 'open',
    schema: whole(2, 200),
  }),
  dataFolder: setting({
    name: 'FORKLINE_DATA_FOLDER',
    type: 'folder',
    default: '.forkline',
    help: 'Where the embedded database and the drafted files lie.',
    visibility: 'open',
    schema: z.string().min(1).max(1024),
  }),
  filesBucket: setting({
    name: 'FORKLINE_FILES_BUCKET',
    type: 'name of an S3 bucket',
    help: 'Bucket the drafted files are kept in; in the data folder if left out. Credentials are found as the AWS SDK finds them (AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY, or the machine’s role).',
    visibility: 'open',
    schema: z.string().regex(/^[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]$/),
  }),
  filesBucketRegion: setting({
    name: 'FORKLINE_FILES_BUCKET_REGION',
    type: 'region of the bucket',
    default: 'us-east-1',
    help: 'Region of the bucket.',
    visibility: 'open',
    schema: z.string().regex(/^[a-z0-9-]{1,40}$/),
  }),
  filesBucketEndpoint: setting({
    name: 'FORKLINE_FILES_BUCKET_ENDPOINT',
    type: 'http or https URL',
    help: 'Server of the bucket when it is not Amazon’s; the bucket’s name then goes into the path.',
    visibility: 'open',
    schema: urlOf('http', 'https'),
  }),
  filesBucketPrefix: setting({
    name: 'FORKLINE_FILES_BUCKET_PREFIX',
    type: 'letters, digits and -_./, at most 200',
    default: 'forkline/',
    help: 'What every key in the bucket begins with.',
    visibility: 'open',
    schema: z.string().regex(/^[A-Za-z0-9_./-]{1,200}$/),
  }),
  redisUrl: setting({
    name: 'REDIS_URL',
    type: 'redis or rediss URL',
    help: 'The Redis the queue runs on; the queue runs on the database if left out.',
    visibility: 'secret',
    schema: urlOf('redis', 'rediss'),
  }),
  queuePrefix: setting({
    name: 'FORKLINE_QUEUE_PREFIX',
    type: 'lower case letters, digits and underscores, at most 40',
    default: 'forkline_queue',
    help: 'Namespace of the queue: a schema on PostgreSQL, a key prefix on Redis.',
    visibility: 'open',
    schema: z.string().regex(/^[a-z][a-z0-9_]{0,39}$/),
  }),
  computeThreads: setting({
    name: 'FORKLINE_COMPUTE_THREADS',
    type: wholeType(1, 64),
    default: '2',
    help: 'Drafts worked on at once in one process; one for each core is the most that helps.',
    visibility: 'open',
    schema: whole(1, 64),
  }),
  computeHeapMb: setting({
    name: 'FORKLINE_COMPUTE_HEAP_MB',
    type: wholeType(64, 16_384),
    default: '512',
    help: 'Memory for the objects of one draft; one that needs more fails alone.',
    visibility: 'open',
    schema: whole(64, 16_384),
  }),
  computeMemoryMb: setting({
    name: 'FORKLINE_COMPUTE_MEMORY_MB',
    type: wholeType(128, 65_536),
    default: '1536',
    help: 'Memory for all drafts at work in one process together, files in the making included.',
    visibility: 'open',
    schema: whole(128, 65_536),
  }),
  computeWaitingMax: setting({
    name: 'FORKLINE_COMPUTE_WAITING_MAX',
    type: wholeType(0, 10_000),
    default: '64',
    help: 'Previews that may wait for a thread; the next one is answered 503.',
    visibility: 'open',
    schema: whole(0, 10_000),
  }),
  previewThreads: setting({
    name: 'FORKLINE_PREVIEW_THREADS',
    type: wholeType(1, 64),
    default: '1',
    help: 'Previews drawn at once by one API process; each keeps a core from the drafts while it is drawn.',
    visibility: 'open',
    schema: whole(1, 64),
  }),
  draftDeadlineMs: setting({
    name: 'FORKLINE_DRAFT_DEADLINE_MS',
    type: wholeType(100, 3_600_000),
    default: '60000',
    help: 'Longest time one attempt at a draft may take.',
    visibility: 'open',
    schema: whole(100, 3_600_000),
  }),
  markersAtOnce: setting({
    name: 'FORKLINE_MARKERS_AT_ONCE',
    type: wholeType(1, 64),
    default: '1',
    help: 'Markers laid at once in one process, beside the drafts; each keeps a core busy.',
    visibility: 'open',
    schema: whole(1, 64),
  }),
  markerSecondsMax: setting({
    name: 'FORKLINE_MARKER_SECONDS_MAX',
    type: wholeType(1, 3_600),
    default: '300',
    help: 'Longest search for a marker; a shop may be given less.',
    visibility: 'open',
    schema: whole(1, 3_600),
  }),
  previewDeadlineMs: setting({
    name: 'FORKLINE_PREVIEW_DEADLINE_MS',
    type: wholeType(100, 60_000),
    default: '5000',
    help: 'Longest time a preview may take, waiting included.',
    visibility: 'open',
    schema: whole(100, 60_000),
  }),
  patternBytesMax: setting({
    name: 'FORKLINE_PATTERN_BYTES_MAX',
    type: wholeType(1_024, 33_554_432),
    default: '16777216',
    help: 'Largest pattern file that is checked.',
    visibility: 'open',
    schema: whole(1_024, 33_554_432),
  }),
  requestBytesMax: setting({
    name: 'FORKLINE_REQUEST_BYTES_MAX',
    type: wholeType(1_024, 67_108_864),
    default: '2097152',
    help: 'Largest request body.',
    visibility: 'open',
    schema: whole(1_024, 67_108_864),
  }),
  deliveriesAtOnce: setting({
    name: 'FORKLINE_DELIVERIES_AT_ONCE',
    type: wholeType(1, 1_000),
    default: '16',
    help: 'Webhooks one worker sends at once; slow receivers hold one each.',
    visibility: 'open',
    schema: whole(1, 1_000),
  }),
  allowedReceivers: setting({
    name: 'FORKLINE_WEBHOOK_ALLOWED_RECEIVERS',
    type: 'host:port, separated by commas',
    default: '',
    help: 'Webhook receivers on private addresses or plain http that you vouch for; no others are ever called.',
    visibility: 'open',
    schema: listOf(/^([a-z0-9.-]+|\[[0-9a-f:.]+\]):\d{1,5}$/),
  }),
  retentionDays: setting({
    name: 'FORKLINE_RETENTION_DAYS',
    type: wholeType(1, 3_650),
    default: '90',
    help: 'Days after which a draft or a check, its files and a body no draft uses are erased.',
    visibility: 'open',
    schema: whole(1, 3_650),
  }),
  requestsPerSecond: setting({
    name: 'FORKLINE_REQUESTS_PER_SECOND',
    type: wholeType(1, 100_000),
    default: '100',
    help: 'Requests one API key may make of one process each second in the long run; four seconds’ worth in one go.',
    visibility: 'open',
    schema: whole(1, 100_000),
  }),
  closeGraceMs: setting({
    name: 'FORKLINE_CLOSE_GRACE_MS',
    type: wholeType(0, 600_000),
    default: '10000',
    help: 'How long a process that is told to end waits for what it is doing.',
    visibility: 'open',
    schema: whole(0, 600_000),
  }),
  logLevel: setting({
    name: 'FORKLINE_LOG_LEVEL',
    type: 'debug, info, warn, error or silent',
    default: 'info',
    help: 'Least important log line that is written.',
    visibility: 'open',
    schema: wordsOf('debug', 'info', 'warn', 'error', 'silent'),
  }),
} as const;

export type SettingName = keyof typeof SETTINGS;

type ValueOf<Definition extends Setting> = Definition extends {
  readonly schema: infer Schema extends z.ZodType;
}
  ? z.output<Schema>
  : never;

/** Without a default a setting may be undefined. */
export type Settings = {
  readonly [Name in SettingName]: (typeof SETTINGS)[Name] extends { readonly default: string }
    ? ValueOf<(typeof SETTINGS)[Name]>
    : ValueOf<(typeof SETTINGS)[Name]> | undefined;
};
