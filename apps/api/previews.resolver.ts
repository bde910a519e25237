import { Args, Mutation, Resolver } from '@nestjs/graphql';
import type { PreviewAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { GraphqlCaller } from './graphql-args.js';
import { PreviewRequestJson } from './graphql-scalars.js';
import { PreviewType } from './graphql-types.js';
import { PreviewsService } from './previews.service.js';

@Resolver()
export class PreviewsResolver {
  constructor(private readonly previews: PreviewsService) {}

  /** Over GraphQL nobody is seen hanging up; its deadline ends it. */
  @Mutation(() => PreviewType, { description: 'Pieces and findings of a draft that is not kept.' })
  createPreview(
    @GraphqlCaller() caller: Caller,
    @Args('request', { type: () => PreviewRequestJson, description: 'What it is made from.' })
    request: unknown,
  ): Promise<PreviewAnswer> {
    return this.previews.make(caller, request, new AbortController().signal);
  }
}
