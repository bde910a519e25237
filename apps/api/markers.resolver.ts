import { Args, Int, Mutation, Query, Resolver, Subscription } from '@nestjs/graphql';
import { MARKERS_QUERY, type AnswerPage, type DraftFileAnswer, type MarkerAnswer } from '#contracts';
import type { Caller } from './caller.js';
import { GraphqlCaller, IdArg, KeyArg, MarkersArgs, orUndefined, readArgs } from './graphql-args.js';
import { MarkerRequestJson } from './graphql-scalars.js';
import { DraftFileType, MarkerPageType, MarkerType } from './graphql-types.js';
import { MarkersService, type MarkersQuery } from './markers.service.js';
import { underField } from './under-field.js';

@Resolver()
export class MarkersResolver {
  constructor(private readonly markers_: MarkersService) {}

  @Query(() => MarkerPageType, { description: 'Markers, newest first.' })
  markers(@GraphqlCaller() caller: Caller, @Args() args: MarkersArgs): Promise<AnswerPage<MarkerAnswer>> {
    return this.markers_.page(caller, readArgs<MarkersQuery>(MARKERS_QUERY, args));
  }

  @Query(() => MarkerType, { description: 'One marker, with its figures.' })
  marker(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<MarkerAnswer> {
    return this.markers_.find(caller, id);
  }

  @Query(() => [DraftFileType], { description: 'The files of a marker; they are downloaded by their href.' })
  markerFiles(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<readonly DraftFileAnswer[]> {
    return this.markers_.files(caller, id);
  }

  @Mutation(() => MarkerType, { description: 'Lay drafts on cloth.' })
  async createMarker(
    @GraphqlCaller() caller: Caller,
    @Args('request', { type: () => MarkerRequestJson, description: 'Drafts, cloths and budget.' })
    request: unknown,
    @KeyArg() key: string | null,
  ): Promise<MarkerAnswer> {
    return (await this.markers_.create(caller, request, orUndefined(key))).answer;
  }

  @Mutation(() => MarkerType, { description: 'End the search for a marker and keep the best there is.' })
  cancelMarker(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<MarkerAnswer> {
    return this.markers_.cancel(caller, id);
  }

  @Subscription(() => MarkerType, {
    description: 'A marker as it stands and each time it has changed, to its end.',
  })
  async markerProgress(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @Args('afterSequence', { type: () => Int, nullable: true, description: 'What you have seen.' })
    after: number | null,
  ): Promise<AsyncIterableIterator<object>> {
    return underField('markerProgress', (signal) => this.markers_.follow(caller, id, after ?? 0, signal));
  }
}
