import { Args, Int, Mutation, Query, Resolver, Subscription } from '@nestjs/graphql';
import { DRAFTS_QUERY, type AnswerPage, type DraftAnswer, type DraftFileAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { DraftFilesService } from './draft-files.service.js';
import { DraftsService, type DraftsQuery } from './drafts.service.js';
import { DraftsArgs, GraphqlCaller, IdArg, KeyArg, orUndefined, readArgs } from './graphql-args.js';
import { DraftRequestJson } from './graphql-scalars.js';
import { DraftFileType, DraftPageType, DraftType } from './graphql-types.js';
import { underField } from './under-field.js';

@Resolver()
export class DraftsResolver {
  constructor(
    private readonly drafts_: DraftsService,
    private readonly files: DraftFilesService,
  ) {}

  @Query(() => DraftPageType, { description: 'Drafts, newest first.' })
  drafts(@GraphqlCaller() caller: Caller, @Args() args: DraftsArgs): Promise<AnswerPage<DraftAnswer>> {
    return this.drafts_.page(caller, readArgs<DraftsQuery>(DRAFTS_QUERY, args));
  }

  @Query(() => DraftType, { description: 'One draft, with its findings.' })
  draft(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<DraftAnswer> {
    return this.drafts_.find(caller, id);
  }

  @Query(() => [DraftFileType], { description: 'The files of a draft; they are downloaded by their href.' })
  draftFiles(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<readonly DraftFileAnswer[]> {
    return this.files.list(caller, id);
  }

  @Mutation(() => DraftType, { description: 'Ask for a draft.' })
  async createDraft(
    @GraphqlCaller() caller: Caller,
    @Args('request', { type: () => DraftRequestJson, description: 'The request.' }) request: unknown,
    @KeyArg() key: string | null,
  ): Promise<DraftAnswer> {
    return (await this.drafts_.create(caller, request, orUndefined(key))).answer;
  }

  @Mutation(() => DraftType, { description: 'Cancel a draft.' })
  cancelDraft(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<DraftAnswer> {
    return this.drafts_.cancel(caller, id);
  }

  @Subscription(() => DraftType, {
    description: 'A draft as it stands and each time it has changed, to its end.',
  })
  async draftProgress(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @Args('afterSequence', { type: () => Int, nullable: true, description: 'What you have seen.' })
    after: number | null,
  ): Promise<AsyncIterableIterator<object>> {
    return underField('draftProgress', (signal) => this.drafts_.follow(caller, id, after ?? 0, signal));
  }
}
