import { Args, ID, Int, Mutation, Query, Resolver, Subscription } from '@nestjs/graphql';
import {
  CHECKS_QUERY,
  COMPARISON_QUERY,
  type AnswerPage,
  type CheckAnswer,
  type ComparisonAnswer,
  type DraftFileAnswer,
  type RulesProfileAnswer,
} from '#contracts';
import type { Caller } from './caller.js';
import { ChecksService, type ChecksQuery } from './checks.service.js';
import { ChecksArgs, GraphqlCaller, IdArg, KeyArg, orUndefined, readArgs } from './graphql-args.js';
import { CheckRequestJson, RulesProfileRequestJson } from './graphql-scalars.js';
import {
  CheckPageType,
  CheckType,
  ComparisonType,
  DraftFileType,
  RulesProfileType,
} from './graphql-types.js';
import { RulesProfilesService } from './rules-profiles.service.js';
import { underField } from './under-field.js';

@Resolver()
export class ChecksResolver {
  constructor(private readonly checks_: ChecksService) {}

  @Query(() => CheckPageType, { description: 'Checks, newest first.' })
  checks(@GraphqlCaller() caller: Caller, @Args() args: ChecksArgs): Promise<AnswerPage<CheckAnswer>> {
    return this.checks_.page(caller, readArgs<ChecksQuery>(CHECKS_QUERY, args));
  }

  @Query(() => CheckType, { description: 'One check, with its result.' })
  check(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<CheckAnswer> {
    return this.checks_.find(caller, id);
  }

  @Query(() => [DraftFileType], { description: 'The files of a check; they are downloaded by their href.' })
  checkFiles(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<readonly DraftFileAnswer[]> {
    return this.checks_.files(caller, id);
  }

  @Query(() => ComparisonType, { description: 'What came, went and changed between two versions.' })
  checkComparison(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @Args('with', { type: () => ID, description: 'The earlier check.' }) withId: string,
  ): Promise<ComparisonAnswer> {
    const read = readArgs<{ readonly with: string }>(COMPARISON_QUERY, { with: withId });
    return this.checks_.compare(caller, id, read.with);
  }

  @Mutation(() => CheckType, { description: 'Check a pattern from outside: DXF as text, or a block.' })
  async createCheck(
    @GraphqlCaller() caller: Caller,
    @Args('request', { type: () => CheckRequestJson, description: 'The pattern and what it is held to.' })
    request: unknown,
    @KeyArg() key: string | null,
  ): Promise<CheckAnswer> {
    return (await this.checks_.create(caller, request, orUndefined(key))).answer;
  }

  @Mutation(() => CheckType, { description: 'Cancel a check.' })
  cancelCheck(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<CheckAnswer> {
    return this.checks_.cancel(caller, id);
  }

  @Subscription(() => CheckType, {
    description: 'A check as it stands and each time it has changed, to its end.',
  })
  async checkProgress(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @Args('afterSequence', { type: () => Int, nullable: true, description: 'What you have seen.' })
    after: number | null,
  ): Promise<AsyncIterableIterator<object>> {
    return underField('checkProgress', (signal) => this.checks_.follow(caller, id, after ?? 0, signal));
  }
}

const NameArg = () => Args('name', { type: () => String, description: 'Its name.' });

@Resolver()
export class RulesProfilesResolver {
  constructor(private readonly profiles: RulesProfilesService) {}

  @Query(() => [RulesProfileType], { description: 'The rules profiles, by name.' })
  rulesProfiles(@GraphqlCaller() caller: Caller): Promise<readonly RulesProfileAnswer[]> {
    return this.profiles.all(caller);
  }

  @Query(() => RulesProfileType, { description: 'One rules profile.' })
  rulesProfile(@GraphqlCaller() caller: Caller, @NameArg() name: string): Promise<RulesProfileAnswer> {
    return this.profiles.find(caller, name);
  }

  @Mutation(() => RulesProfileType, { description: 'Make or replace a rules profile.' })
  putRulesProfile(
    @GraphqlCaller() caller: Caller,
    @NameArg() name: string,
    @Args('request', { type: () => RulesProfileRequestJson, description: 'The whole profile.' })
    request: unknown,
  ): Promise<RulesProfileAnswer> {
    return this.profiles.put(caller, name, request);
  }

  @Mutation(() => Boolean, { description: 'Remove a rules profile.' })
  async deleteRulesProfile(@GraphqlCaller() caller: Caller, @NameArg() name: string): Promise<true> {
    await this.profiles.remove(caller, name);
    return true;
  }
}
