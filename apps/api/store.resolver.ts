import { Args, Int, Mutation, Query, Resolver } from '@nestjs/graphql';
import { BODIES_QUERY, PAGE_QUERY, type AnswerPage, type BlockAnswer, type BodyAnswer } from '#contracts';
import { BlocksService } from './blocks.service.js';
import { BodiesService, bodyTag, type BodiesQuery } from './bodies.service.js';
import type { Caller } from './caller.js';
import { BodiesArgs, GraphqlCaller, IdArg, KeyArg, orUndefined, PageArgs, readArgs } from './graphql-args.js';
import { BlockRequestJson, BodyRequestJson } from './graphql-scalars.js';
import { BlockPageType, BlockType, BodyPageType, BodyType } from './graphql-types.js';
import type { PageQuery } from './mapped-page.js';

const BodyRequestArg = () => Args('request', { type: () => BodyRequestJson, description: 'The body.' });
const BlockRequestArg = () => Args('request', { type: () => BlockRequestJson, description: 'The block.' });

@Resolver()
export class BodiesResolver {
  constructor(private readonly bodies_: BodiesService) {}

  @Query(() => BodyPageType, { description: 'Bodies, newest first.' })
  bodies(@GraphqlCaller() caller: Caller, @Args() args: BodiesArgs): Promise<AnswerPage<BodyAnswer>> {
    return this.bodies_.page(caller, readArgs<BodiesQuery>(BODIES_QUERY, args));
  }

  @Query(() => BodyType, { description: 'One body.' })
  body(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<BodyAnswer> {
    return this.bodies_.find(caller, id);
  }

  @Mutation(() => BodyType, { description: 'Store the measures of a person.' })
  async createBody(
    @GraphqlCaller() caller: Caller,
    @BodyRequestArg() request: unknown,
    @KeyArg() key: string | null,
  ): Promise<BodyAnswer> {
    return (await this.bodies_.create(caller, request, orUndefined(key))).answer;
  }

  @Mutation(() => BodyType, {
    description: 'Change the measures of a body, if it is still the version you read.',
  })
  replaceBody(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @Args('updatedAt', { type: () => String, description: '`updatedAt` of the version you read.' })
    updatedAt: string,
    @BodyRequestArg() request: unknown,
  ): Promise<BodyAnswer> {
    return this.bodies_.replace(caller, id, request, bodyTag(updatedAt));
  }

  @Mutation(() => Boolean, { description: 'Erase a person and everything made from the measures.' })
  async eraseBody(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<true> {
    await this.bodies_.erase(caller, id);
    return true;
  }
}

@Resolver()
export class BlocksResolver {
  constructor(private readonly blocks_: BlocksService) {}

  @Query(() => BlockPageType, { description: 'Blocks, newest first.' })
  blocks(@GraphqlCaller() caller: Caller, @Args() args: PageArgs): Promise<AnswerPage<BlockAnswer>> {
    return this.blocks_.page(caller, readArgs<PageQuery>(PAGE_QUERY, args));
  }

  @Query(() => BlockType, { description: 'One block: its newest version, or the one asked for.' })
  block(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @Args('version', { type: () => Int, nullable: true, description: 'Which version.' })
    version: number | null,
  ): Promise<BlockAnswer> {
    return this.blocks_.find(
      caller,
      id,
      version === null || version === undefined ? undefined : String(version),
    );
  }

  @Mutation(() => BlockType, { description: 'Store a block.' })
  async createBlock(
    @GraphqlCaller() caller: Caller,
    @BlockRequestArg() request: unknown,
    @KeyArg() key: string | null,
  ): Promise<BlockAnswer> {
    return (await this.blocks_.create(caller, request, orUndefined(key))).answer;
  }

  @Mutation(() => BlockType, { description: 'Add a version of a block.' })
  async addBlockVersion(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @BlockRequestArg() request: unknown,
    @KeyArg() key: string | null,
  ): Promise<BlockAnswer> {
    return (await this.blocks_.addVersion(caller, id, request, orUndefined(key))).answer;
  }

  @Mutation(() => Boolean, { description: 'Delete a block; drafts made from it stay.' })
  async deleteBlock(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<true> {
    await this.blocks_.remove(caller, id);
    return true;
  }
}
