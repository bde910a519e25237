import { Args, Int, Mutation, Query, Resolver } from '@nestjs/graphql';
import {
  DIFFERENCE_QUERY,
  PAGE_LIMIT_MAX,
  PAGE_QUERY,
  READING_QUERY,
  type AlterationAnswer,
  type AlterationDifferenceAnswer,
  type AlterationReadingAnswer,
  type AnswerPage,
} from '#contracts';
import { AlterationsService } from './alterations.service.js';
import type { Caller } from './caller.js';
import { GraphqlCaller, KeyArg, orUndefined, PageArgs, readArgs } from './graphql-args.js';
import { RecipeJson } from './graphql-scalars.js';
import type { PageQuery } from './mapped-page.js';
import {
  AlterationDifferenceType,
  AlterationPageType,
  AlterationReadingType,
  AlterationType,
} from './graphql-types.js';

const NameArg = () => Args('name', { type: () => String, description: 'Its name.' });
const VersionArg = () =>
  Args('version', {
    type: () => Int,
    nullable: true,
    description: 'Which version; the newest when left out.',
  });
const RecipeArg = () => Args('recipe', { type: () => RecipeJson, description: 'The recipe.' });

@Resolver()
export class AlterationsResolver {
  constructor(private readonly alterations_: AlterationsService) {}

  @Query(() => [AlterationType], {
    description: 'Those of the house, and the newest 200 of your own; `alterationPage` has them all.',
  })
  async alterations(@GraphqlCaller() caller: Caller): Promise<readonly AlterationAnswer[]> {
    return (await this.alterations_.page(caller, { limit: PAGE_LIMIT_MAX })).items;
  }

  @Query(() => AlterationPageType, {
    description: 'Your own alterations, newest first; the first page begins with those of the house.',
  })
  alterationPage(
    @GraphqlCaller() caller: Caller,
    @Args() args: PageArgs,
  ): Promise<AnswerPage<AlterationAnswer>> {
    return this.alterations_.page(caller, readArgs<PageQuery>(PAGE_QUERY, args));
  }

  @Query(() => AlterationType, { description: 'One alteration with its recipe.' })
  alteration(
    @GraphqlCaller() caller: Caller,
    @NameArg() name: string,
    @VersionArg() version: number | null,
  ): Promise<AlterationAnswer> {
    return this.alterations_.find(caller, name, versionOf(version));
  }

  @Query(() => [AlterationType], { description: 'The versions of a recipe of your own, newest first.' })
  alterationVersions(
    @GraphqlCaller() caller: Caller,
    @NameArg() name: string,
  ): Promise<readonly AlterationAnswer[]> {
    return this.alterations_.versions(caller, name);
  }

  @Query(() => AlterationReadingType, { description: 'A recipe as numbered steps in trade words.' })
  alterationReading(
    @GraphqlCaller() caller: Caller,
    @NameArg() name: string,
    @VersionArg() version: number | null,
  ): Promise<AlterationReadingAnswer> {
    return this.alterations_.reading(caller, name, versionOf(version));
  }

  @Query(() => AlterationDifferenceType, { description: 'What changed from one version to another.' })
  alterationDifference(
    @GraphqlCaller() caller: Caller,
    @NameArg() name: string,
    @Args('from', { type: () => Int, description: 'The version before.' }) from: number,
    @Args('to', { type: () => Int, description: 'The version after.' }) to: number,
  ): Promise<AlterationDifferenceAnswer> {
    return this.alterations_.difference(caller, name, readArgs(DIFFERENCE_QUERY, { from, to }));
  }

  @Mutation(() => AlterationType, { description: 'Store a recipe of your own, as a draft.' })
  async createAlteration(
    @GraphqlCaller() caller: Caller,
    @RecipeArg() recipe: unknown,
    @KeyArg() key: string | null,
  ): Promise<AlterationAnswer> {
    return (await this.alterations_.create(caller, recipe, orUndefined(key))).answer;
  }

  @Mutation(() => AlterationType, { description: 'Change the draft of a recipe, or begin the next version.' })
  saveAlterationDraft(
    @GraphqlCaller() caller: Caller,
    @NameArg() name: string,
    @RecipeArg() recipe: unknown,
  ): Promise<AlterationAnswer> {
    return this.alterations_.saveDraft(caller, name, recipe);
  }

  @Mutation(() => AlterationType, { description: 'Take the draft of a recipe into use.' })
  publishAlteration(@GraphqlCaller() caller: Caller, @NameArg() name: string): Promise<AlterationAnswer> {
    return this.alterations_.publish(caller, name);
  }

  @Mutation(() => AlterationType, { description: 'Take a version of a recipe out of use.' })
  retireAlterationVersion(
    @GraphqlCaller() caller: Caller,
    @NameArg() name: string,
    @Args('version', { type: () => Int, description: 'Which version.' }) version: number,
  ): Promise<AlterationAnswer> {
    return this.alterations_.retire(caller, name, versionOf(version) ?? version);
  }
}

/** A version by the schema that reads the query at REST. */
function versionOf(version: number | null | undefined): number | undefined {
  return readArgs<{ readonly version?: number }>(READING_QUERY, { version }).version;
}
