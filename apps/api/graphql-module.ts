import type { IncomingMessage } from 'node:http';
import { ApolloDriver, type ApolloDriverConfig } from '@nestjs/apollo';
import type { DynamicModule } from '@nestjs/common';
import { GraphQLModule } from '@nestjs/graphql';
import type { Logger } from '#observability';
import { callerOf } from './caller.js';
import type { GraphqlContext } from './graphql-args.js';
import { graphqlError } from './graphql-errors.js';
import { limitQuery } from './graphql-limits.js';
import { describeRoots } from './graphql-roots.js';

/** GraphQL at /graphql over HTTP, for queries and mutations. The subscription is in graphql-socket.ts. */
export function graphqlModule(logger: Logger): DynamicModule {
  return GraphQLModule.forRoot<ApolloDriverConfig>({
    driver: ApolloDriver,
    path: '/graphql',
    autoSchemaFile: true,
    sortSchema: true,
    transformSchema: describeRoots,
    introspection: true,
    graphiql: false,
    includeStacktraceInErrorResponses: false,
    validationRules: [limitQuery],
    context: ({ req }: { readonly req: IncomingMessage }): GraphqlContext => ({ caller: callerOf(req) }),
    formatError: (formatted, thrown) => graphqlError(formatted, thrown, logger),
  });
}
