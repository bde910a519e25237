import type { DropCrotchParameters } from '#alterations';
import { DOUBT_CODE, type Body } from '#measurements';
import type { z } from 'zod';
import { BODY, measureProblems, measureQuestions } from './body.js';
import { dropCrotchRequest, DROP_CROTCH } from './drop-crotch-request.js';
import { EASE, type EaseRequest } from './ease-request.js';
import {
  DATE,
  either,
  field,
  fields,
  line,
  list,
  notAvailable,
  notOneOf,
  oneOf,
  said,
  wrongType,
  type Fault,
  type Read,
} from './field.js';
import {
  CLOTH,
  clothRequest,
  FINISH,
  finishRequest,
  type ClothRequest,
  type FinishRequest,
} from './finish-request.js';
import { BLOCK, blockProblems, type GivenBlock } from './given-block.js';
import { issuesToProblems, toProblem, valueOf } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { nearestName } from './nearest-name.js';
import { atMost, foundInWords, type Problem } from './problem.js';
import { idForm, LEFT_OUT } from './wire-form.js';
import { YIELDING, type YieldingRequest } from './yielding-request.js';

/** A draft request as it is understood: every default in its place, every length in mm. */
export interface DraftRequest {
  readonly body: Body;
  /** Drafted from the body, or a block that is used as it stands. */
  readonly block: 'from-body' | GivenBlock;
  readonly ease: EaseRequest;
  readonly yielding?: YieldingRequest;
  readonly alterations: readonly AlterationRequest[];
  readonly cloth?: ClothRequest;
  /** Present where pieces are finished: `finish` was sent, or an output that shows cut pieces. */
  readonly finish?: FinishRequest;
  /** In the order of the contract, each once. */
  readonly outputs: readonly OutputName[];
  readonly reference?: string;
  /** The only date that files carry, as YYYY-MM-DD. */
  readonly dated?: string;
  /** Codes of the questions that are answered with yes. */
  readonly confirm: readonly string[];
}

export const ALTERATION_NAMES = ['drop-crotch'] as const;

export interface AlterationRequest {
  readonly use: (typeof ALTERATION_NAMES)[number];
  readonly with: DropCrotchParameters;
}

/** Outputs that show finished pieces: asked for, they finish them by the trade's defaults where `finish` is left out. */
const CUT_OUTPUTS = [
  'sheet',
  'tiles-a4',
  'tiles-letter',
  'tiles-a3',
  'tiles-tabloid',
  'dxf',
  'plot',
  'marker',
] as const;

/** What this version writes. */
export const OUTPUT_NAMES = ['proof', 'pattern', ...CUT_OUTPUTS, 'bundle'] as const;
export type OutputName = (typeof OUTPUT_NAMES)[number];

/** What is written where a request names no outputs. */
const DEFAULT_OUTPUTS: readonly OutputName[] = ['proof', 'pattern'];

export type DraftRequestRead =
  | { readonly ok: true; readonly request: DraftRequest }
  | { readonly ok: false; readonly problems: readonly Problem[] };

const ALTERATIONS_MAX = 10;
const CONFIRM_MAX = 50;
const LINE_LENGTH_MAX = 64;

const BLOCK_FORM = '"from-body" or a block';

const BLOCK_BY_NAME = field(
  { form: BLOCK_FORM },
  (found): Read<'from-body'> => {
    if (found === 'from-body') return { value: found };
    if (typeof found !== 'string') return { fault: wrongType(found, { form: BLOCK_FORM }) };
    if (nearestName(found, ['from-body']) !== undefined) return { fault: notOneOf(found, ['from-body']) };
    return { fault: noStored('block', foundInWords(found), `Send ${BLOCK_FORM} itself.`) };
  },
  { anyOf: [{ const: 'from-body' }, idForm('blk')] },
);

const SENT_BLOCK = either<'from-body' | GivenBlock>(
  (found) => (typeof found === 'object' && found !== null && !Array.isArray(found) ? BLOCK : BLOCK_BY_NAME),
  [BLOCK_BY_NAME, BLOCK],
);

const OUTPUT = oneOf(OUTPUT_NAMES);

const CODE = field(
  { form: 'the code of a question, like MEASURES_DOUBTFUL' },
  (found): Read<string> => {
    const form = 'the code of a question, in capitals, like MEASURES_DOUBTFUL';
    if (typeof found === 'string' && /^[A-Z][A-Z0-9_]{0,63}$/.test(found)) return { value: found };
    return { fault: wrongType(found, { form }) };
  },
  { type: 'string', pattern: '^[A-Z][A-Z0-9_]{0,63}$' },
);

const SHAPE = {
  body: BODY,
  bodyId: said(
    later('Send the body itself, as "body".', idForm('bdy')).optional(),
    'A stored body, in place of `body`.',
  ),
  block: said(SENT_BLOCK, '`from-body` to draft one, a block of your own, or the id of a stored block.'),
  blockId: said(
    later(`Send ${BLOCK_FORM} itself, as "block".`, idForm('blk')).optional(),
    'A stored block, in place of `block`.',
  ),
  fit: said(
    oneOf(['as-is', 'to-body']).optional(),
    'A block of your own is used `as-is`; `to-body` is not available in this version.',
  ),
  ease: said(
    EASE.optional(),
    'What the garment measures more than the body: by name, or mm for each measure.',
  ),
  yielding: said(
    YIELDING.optional(),
    'How far, in mm either way, a block drafted from the body may move the `split` of the crotch length from where it was ' +
      'taped, and the crotch `depth` from what was ordered; as far as it needs when left out. A body that needs more is refused.',
  ),
  alterations: said(
    list(fields({ use: oneOf(ALTERATION_NAMES), with: DROP_CROTCH.optional() }), ALTERATIONS_MAX).optional(),
    'Made in this order; without any the block is drawn as it is. GET /v1/alterations lists them.',
  ),
  finish: said(FINISH.optional(), 'How pieces are finished for cutting; the trade defaults where left out.'),
  cloth: said(CLOTH.optional(), 'What the pattern has to know of the cloth.'),
  outputs: said(
    list(OUTPUT, OUTPUT_NAMES.length).optional(),
    '`proof` and `pattern` when left out. draft.json, truing.json, request.json and manifest.json always come too.',
  ),
  reference: said(line(LINE_LENGTH_MAX).optional(), 'Your order line, for the sheets and the webhook.'),
  dated: said(DATE.optional(), 'The only date the files carry.'),
  confirm: said(
    list(CODE, CONFIRM_MAX).optional(),
    'Codes of questions you answer with yes. `MEASURES_DOUBTFUL`: the body is as unusual as its measures say.',
  ),
};

const SENT_REQUEST = fields(SHAPE);

/** The request as it is published: where bodies and blocks are stored, either stands for itself or for its id. */
export const DRAFT_REQUEST_FORM = fields({
  ...SHAPE,
  body: SHAPE.body.optional(),
  block: SHAPE.block.optional(),
}).meta({
  id: 'DraftRequest',
  allOf: [
    { oneOf: [{ required: ['body'] }, { required: ['bodyId'] }] },
    { oneOf: [{ required: ['block'] }, { required: ['blockId'] }] },
  ],
});

/**
 * Read a draft request, or say everything that is wrong with it.
 *
 * A person who sends a body at nine in the evening gets one answer with all of it, each with its field, what was
 * found, what may stand there and what to do, and not the first slip of five.
 *
 * Shape      on success every default is filled in; on failure at most a hundred problems. Fields the contract knows
 *            and this version cannot do yet are problems too (NOT_AVAILABLE). `fit` beside "from-body" is allowed and
 *            says nothing, since a block drafted from the body fits it. Measures that do not go together are a problem
 *            until `confirm` names its code.
 * Units      millimetres out; each length may come as a number of mm or as text with its unit.
 * Edges      the value may come from anywhere: names like "__proto__" are unknown fields, depth and size are bounded
 *            before anything is looked at.
 * Cost       at most 50,000 values are visited.
 *
 * @example
 * readDraftRequest(JSON.parse(text)); // { ok: true, request } or { ok: false, problems }
 */
export function readDraftRequest(json: unknown): DraftRequestRead {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = SENT_REQUEST.safeParse(json);
  const problems = [
    ...(parsed.success ? [] : issuesToProblems(parsed.error.issues, json)),
    ...[...measureProblems(valueOf(json, 'body')), ...questions(json)].map((problem) => ({
      ...problem,
      pointer: `/body${problem.pointer}`,
    })),
    ...blockProblems(valueOf(json, 'block'), ['block']),
    ...fitProblems(json),
  ];
  return parsed.success && problems.length === 0
    ? { ok: true, request: toRequest(parsed.data) }
    : { ok: false, problems: atMost(problems) };
}

/** Questions about the body that the request has not answered yet. */
function questions(json: unknown): Problem[] {
  const confirmed = valueOf(json, 'confirm');
  if (Array.isArray(confirmed) && confirmed.includes(DOUBT_CODE)) return [];
  return measureQuestions(valueOf(json, 'body'));
}

function toRequest(sent: z.output<typeof SENT_REQUEST>): DraftRequest {
  const { cloth, finish, reference, dated, yielding } = sent;
  const madeFrom = sent.block === 'from-body' ? 'from-body' : 'as-is';
  const outputs = sent.outputs ?? DEFAULT_OUTPUTS;
  const cuts = finish !== undefined || CUT_OUTPUTS.some((name) => outputs.includes(name));
  return {
    body: sent.body,
    block: sent.block,
    ease: sent.ease ?? { name: 'regular', overrides: {} },
    alterations: (sent.alterations ?? []).map(({ use, with: amounts = {} }) => ({
      use,
      with: dropCrotchRequest(amounts, madeFrom),
    })),
    outputs: OUTPUT_NAMES.filter((name) => outputs.includes(name)),
    confirm: [...new Set(sent.confirm ?? [])].sort(),
    ...(yielding === undefined ? {} : { yielding }),
    ...(cloth === undefined ? {} : { cloth: clothRequest(cloth) }),
    ...(cuts ? { finish: finishRequest(finish ?? {}) } : {}),
    ...(reference === undefined ? {} : { reference }),
    ...(dated === undefined ? {} : { dated }),
  };
}

/** An alteration with all its default amounts, for a block drafted from the body. */
export function alterationByDefault(use: AlterationRequest['use']): AlterationRequest {
  return { use, with: dropCrotchRequest({}, 'from-body') };
}

function fitProblems(json: unknown): Problem[] {
  const isGiven = typeof valueOf(json, 'block') === 'object';
  if (!isGiven || valueOf(json, 'fit') !== 'to-body') return [];
  const says = 'is "to-body", and a given block cannot be fitted to a body in this version';
  const action =
    'Send "as-is" to use the block as it stands, or "from-body" as the block to have one drafted.';
  return [toProblem(['fit'], 'to-body', { ...notAvailable(says, action), allowed: { oneOf: ['as-is'] } })];
}

function later(action: string, form = LEFT_OUT) {
  const says = 'is part of the contract, but cannot be used here in this version';
  return field({ form: 'left out' }, (): Read<never> => ({ fault: notAvailable(says, action) }), form);
}

function noStored(kind: string, found: string, action: string): Fault {
  return notAvailable(`is ${found}, and there is no stored ${kind} in this version`, action);
}
