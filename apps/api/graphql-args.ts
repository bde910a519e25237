import { Args, ArgsType, Context, Field, ID, Int } from '@nestjs/graphql';
import { readWith } from '#contracts';
import { invalid } from './api-error.js';
import type { Caller } from './caller.js';
import { DeliveryStateEnum, DraftStateEnum, CheckStateEnum, MarkerStateEnum } from './graphql-types.js';

/** What every resolver is given beside its arguments. */
export interface GraphqlContext {
  readonly caller: Caller;
}

export const GraphqlCaller = () => Context('caller');

export const IdArg = () => Args('id', { type: () => ID, description: 'Its id.' });

export const DraftIdArg = () => Args('draftId', { type: () => ID, description: 'The id of the draft.' });

export const KeyArg = () =>
  Args('idempotencyKey', {
    type: () => String,
    nullable: true,
    description: 'A random text of yours: the same request with the same key is done once.',
  });

@ArgsType()
export class PageArgs {
  @Field(() => Int, { nullable: true, description: 'How many, 1 to 200; 50 when left out.' })
  limit?: number;

  @Field(() => String, { nullable: true, description: '`next` of the page before.' })
  cursor?: string;
}

@ArgsType()
export class OfDraftArgs extends PageArgs {
  @Field(() => ID, { description: 'The id of the draft.' })
  draftId!: string;
}

@ArgsType()
export class BodiesArgs extends PageArgs {
  @Field(() => String, { nullable: true, description: 'Only the one of this pseudonym.' })
  ref?: string;
}

@ArgsType()
export class DraftsArgs extends PageArgs {
  @Field(() => DraftStateEnum, { nullable: true, description: 'Only those in this state.' })
  state?: string;

  @Field(() => String, { nullable: true, description: 'Only those of this order line.' })
  reference?: string;

  @Field(() => ID, { nullable: true, description: 'Only those of this body.' })
  bodyId?: string;
}

@ArgsType()
export class DeliveriesArgs extends PageArgs {
  @Field(() => DeliveryStateEnum, { nullable: true, description: 'Only those in this state.' })
  state?: string;

  @Field(() => ID, { nullable: true, description: 'Only those to this endpoint.' })
  endpointId?: string;

  @Field(() => ID, { nullable: true, description: 'Only those about this draft.' })
  draftId?: string;

  @Field(() => ID, { nullable: true, description: 'Only those about this marker.' })
  markerId?: string;

  @Field(() => ID, { nullable: true, description: 'Only those about this check.' })
  checkId?: string;
}

@ArgsType()
export class MarkersArgs extends PageArgs {
  @Field(() => MarkerStateEnum, { nullable: true, description: 'Only those in this state.' })
  state?: string;

  @Field(() => String, { nullable: true, description: 'Only those of this reference.' })
  reference?: string;
}

@ArgsType()
export class ChecksArgs extends PageArgs {
  @Field(() => CheckStateEnum, { nullable: true, description: 'Only those in this state.' })
  state?: string;

  @Field(() => String, { nullable: true, description: 'Only those of this reference.' })
  reference?: string;

  @Field(() => String, { nullable: true, description: 'Only those of this style.' })
  styleId?: string;

  @Field(() => String, { nullable: true, description: 'Only those of this version.' })
  versionId?: string;
}

/** Arguments by the schema that reads the query of the same list at REST; null means left out. */
export function readArgs<Query>(schema: Parameters<typeof readWith>[0], args: object): Query {
  const given = Object.fromEntries(
    Object.entries(args).filter(([, value]) => value !== null && value !== undefined),
  );
  const read = readWith(schema, given);
  if (!read.ok) throw invalid('variables', read.problems);
  return read.value as Query;
}

/** Nothing is nothing at both doors. */
export function orUndefined(text: string | null | undefined): string | undefined {
  return text ?? undefined;
}
