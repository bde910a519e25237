import { fittingSettings, type FittingSettings } from '#fitting';
import { DOUBT_CODE, type Body } from '#measurements';
import type { z } from 'zod';
import {
  ALTERATION_FORM,
  alterationLimitProblems,
  alterationProblems,
  alterationRequest,
  type AlterationRequest,
} from './alteration-request.js';
import { BODY, measureProblems, measureQuestions } from './body.js';
import { EASE, type EaseRequest } from './ease-request.js';
import { FITTING, fittingProblems } from './fitting-request.js';
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
import { nearestName } from '#spelling';
import { atMost, foundInWords, type Problem } from './problem.js';
import { withStep } from './step-of-field.js';
import { idForm, LEFT_OUT } from './wire-form.js';
import { YIELDING, type YieldingRequest } from './yielding-request.js';

/** A draft request as it is understood: every default in its place, every length in mm. */
export interface DraftRequest {
  readonly body: Body;
  /** Drafted from the body, or a block of the shop's own. */
  readonly block: 'from-body' | GivenBlock;
  /** How a given block is fitted to the body; without it, it is used as it stands. */
  readonly fitting?: FittingSettings;
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
    'A block of your own is used `as-is` when left out, or fitted `to-body` by the alterations of the trade.',
  ),
  fitting: said(FITTING.optional(), 'How a block of your own is fitted; the defaults where left out.'),
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
    list(ALTERATION_FORM, ALTERATIONS_MAX).optional(),
    'Made in this order; without any the block is drawn as it is. GET /v1/alterations lists them; a recipe may be sent itself.',
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

/** What a preview is made from: a draft request without what is written, since nothing is. */
export const PREVIEW_REQUEST_FORM = fields({
  body: SHAPE.body.optional(),
  bodyId: SHAPE.bodyId,
  block: SHAPE.block.optional(),
  blockId: SHAPE.blockId,
  fit: SHAPE.fit,
  ease: SHAPE.ease,
  alterations: SHAPE.alterations,
  cloth: SHAPE.cloth,
  confirm: SHAPE.confirm,
}).meta({ id: 'PreviewRequest' });

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
  const limits = [
    ...limitProblems(json),
    ...alterationLimitProblems(valueOf(json, 'alterations'), ['alterations']),
  ];
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = SENT_REQUEST.safeParse(json);
  const problems = [
    ...(parsed.success ? [] : issuesToProblems(parsed.error.issues, json)),
    ...[...measureProblems(valueOf(json, 'body')), ...questions(json)].map((problem) => ({
      ...problem,
      pointer: `/body${problem.pointer}`,
    })),
    ...blockProblems(valueOf(json, 'block'), ['block']),
    ...alterationProblems(valueOf(json, 'alterations'), ['alterations']),
    ...fitProblems(json),
    ...yieldingProblems(json),
  ];
  return parsed.success && problems.length === 0
    ? { ok: true, request: toRequest(parsed.data) }
    : { ok: false, problems: atMost(problems).map((problem) => withStep(problem, json)) };
}

/** Questions about the body that the request has not answered yet. */
function questions(json: unknown): Problem[] {
  const confirmed = valueOf(json, 'confirm');
  if (Array.isArray(confirmed) && confirmed.includes(DOUBT_CODE)) return [];
  return measureQuestions(valueOf(json, 'body'));
}

function toRequest(sent: z.output<typeof SENT_REQUEST>): DraftRequest {
  const { cloth, finish, reference, dated, yielding } = sent;
  const fitted = sent.block !== 'from-body' && sent.fit === 'to-body';
  // A block that was fitted here has the body's waist, and gets it back after an alteration as a drafted one does.
  const madeFrom = sent.block === 'from-body' || fitted ? 'from-body' : 'as-is';
  const outputs = sent.outputs ?? DEFAULT_OUTPUTS;
  const cuts = finish !== undefined || CUT_OUTPUTS.some((name) => outputs.includes(name));
  return {
    body: sent.body,
    block: sent.block,
    ...(fitted ? { fitting: sent.fitting ?? fittingSettings({}) } : {}),
    ease: sent.ease ?? { name: 'regular', overrides: {} },
    alterations: (sent.alterations ?? []).map((alteration) => alterationRequest(alteration, madeFrom)),
    outputs: OUTPUT_NAMES.filter((name) => outputs.includes(name)),
    confirm: [...new Set(sent.confirm ?? [])].sort(),
    ...(yielding === undefined ? {} : { yielding }),
    ...(cloth === undefined ? {} : { cloth: clothRequest(cloth) }),
    ...(cuts ? { finish: finishRequest(finish ?? {}) } : {}),
    ...(reference === undefined ? {} : { reference }),
    ...(dated === undefined ? {} : { dated }),
  };
}

function fitProblems(json: unknown): Problem[] {
  const sent = valueOf(json, 'fitting');
  if (sent === undefined) return [];
  const isFitted = valueOf(json, 'block') !== 'from-body' && valueOf(json, 'fit') === 'to-body';
  if (isFitted) return fittingProblems(sent);
  const fault = {
    code: 'CONFLICT',
    allowed: { form: 'left out where no block is fitted' },
    says: 'says how a block of your own is fitted, and none is',
    action: 'Send a block of your own with "fit": "to-body", or take it out.',
  } as const;
  return [toProblem(['fitting'], sent, fault), ...fittingProblems(sent)];
}

// A given block has limits of its own; letting these pass unheard would be a wrong answer.
function yieldingProblems(json: unknown): Problem[] {
  const sent = valueOf(json, 'yielding');
  const block = valueOf(json, 'block');
  if (sent === undefined || typeof block !== 'object' || block === null) return [];
  const fault = {
    code: 'CONFLICT',
    allowed: { form: 'left out beside a block of your own' },
    says: 'says how far a block drafted from the body may yield, and none is drafted',
    action: 'Take it out; how far a fitted block may go is "fitting": { "limits": { "depth": ... } }.',
  } as const;
  return [toProblem(['yielding'], sent, fault)];
}

function later(action: string, form = LEFT_OUT) {
  const says = 'is part of the contract, but cannot be used here in this version';
  return field({ form: 'left out' }, (): Read<never> => ({ fault: notAvailable(says, action) }), form);
}

function noStored(kind: string, found: string, action: string): Fault {
  return notAvailable(`is ${found}, and there is no stored ${kind} in this version`, action);
}
