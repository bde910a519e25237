import { Args, Int, Mutation, Query, Resolver, Subscription } from '@nestjs/graphql';
import { PAGE_QUERY, type AnswerPage, type DraftTokenAnswer, type ExportAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { DraftTokensService } from './draft-tokens.service.js';
import { ExportsService } from './exports.service.js';
import {
  DraftIdArg,
  GraphqlCaller,
  IdArg,
  KeyArg,
  OfDraftArgs,
  orUndefined,
  readArgs,
} from './graphql-args.js';
import { DraftTokenRequestJson, ExportRequestJson } from './graphql-scalars.js';
import { DraftTokenPageType, DraftTokenType, ExportPageType, ExportType } from './graphql-types.js';
import type { PageQuery } from './mapped-page.js';
import { underField } from './under-field.js';

@Resolver()
export class ExportsResolver {
  constructor(private readonly exports_: ExportsService) {}

  @Query(() => ExportPageType, { description: 'Exports of a draft, newest first.' })
  exports(
    @GraphqlCaller() caller: Caller,
    @Args() { draftId, ...page }: OfDraftArgs,
  ): Promise<AnswerPage<ExportAnswer>> {
    return this.exports_.page(caller, draftId, readArgs<PageQuery>(PAGE_QUERY, page));
  }

  @Query(() => ExportType, { description: 'One export; its file is downloaded by its href.' })
  export(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<ExportAnswer> {
    return this.exports_.find(caller, id);
  }

  @Mutation(() => ExportType, { description: 'Print a finished draft on another paper.' })
  async createExport(
    @GraphqlCaller() caller: Caller,
    @DraftIdArg() draftId: string,
    @Args('request', { type: () => ExportRequestJson, description: 'The paper and the layers.' })
    request: unknown,
    @KeyArg() key: string | null,
  ): Promise<ExportAnswer> {
    return (await this.exports_.create(caller, draftId, request, orUndefined(key))).answer;
  }

  @Subscription(() => ExportType, {
    description: 'An export as it stands and each time it has changed, to its end.',
  })
  async exportProgress(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @Args('afterSequence', { type: () => Int, nullable: true, description: 'What you have seen.' })
    after: number | null,
  ): Promise<AsyncIterableIterator<object>> {
    return underField('exportProgress', (signal) => this.exports_.follow(caller, id, after ?? 0, signal));
  }
}

@Resolver()
export class DraftTokensResolver {
  constructor(private readonly tokens: DraftTokensService) {}

  @Query(() => DraftTokenPageType, { description: 'Tokens of a draft, newest first.' })
  draftTokens(
    @GraphqlCaller() caller: Caller,
    @Args() { draftId, ...page }: OfDraftArgs,
  ): Promise<AnswerPage<DraftTokenAnswer>> {
    return this.tokens.page(caller, draftId, readArgs<PageQuery>(PAGE_QUERY, page));
  }

  @Query(() => DraftTokenType, { description: 'One token, without the token itself.' })
  draftToken(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<DraftTokenAnswer> {
    return this.tokens.find(caller, id);
  }

  @Mutation(() => DraftTokenType, { description: 'Make a token for one draft; it is shown this once.' })
  async createDraftToken(
    @GraphqlCaller() caller: Caller,
    @DraftIdArg() draftId: string,
    @Args('request', { type: () => DraftTokenRequestJson, description: 'How long it is good for.' })
    request: unknown,
    @KeyArg() key: string | null,
  ): Promise<DraftTokenAnswer> {
    return (await this.tokens.create(caller, draftId, request, orUndefined(key))).answer;
  }

  @Mutation(() => Boolean, { description: 'Revoke a token.' })
  async revokeDraftToken(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<true> {
    await this.tokens.revoke(caller, id);
    return true;
  }
}
