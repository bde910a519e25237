import type { IncomingMessage } from 'node:http';
import { ApolloDriver, type ApolloDriverConfig } from '@nestjs/apollo';
import type { DynamicModule } from '@nestjs/common';
import { GraphQLModule } from '@nestjs/graphql';
import {
  GraphQLError,
  specifiedRules,
  validate,
  type DocumentNode,
  type ExecutionResult,
  type GraphQLSchema,
} from 'graphql';
import type { Context as WsContext } from 'graphql-ws';
import type { Logger } from '#observability';
import type { Authenticator } from './authenticate.js';
import { callerOf, type Caller } from './caller.js';
import type { GraphqlContext } from './graphql-args.js';
import { graphqlError } from './graphql-errors.js';
import { limitQuery } from './graphql-limits.js';
import { describeRoots } from './graphql-roots.js';

/** What a connection that passed carries. */
interface WsExtra {
  caller?: Caller;
  readonly request: IncomingMessage;
}

interface ConnectionContext {
  readonly req?: IncomingMessage & { readonly extra?: WsExtra };
  readonly extra?: WsExtra;
}

/** GraphQL at /graphql, over HTTP for queries and mutations and over graphql-ws for the subscription. */
export function graphqlModule(authenticator: Authenticator, logger: Logger): DynamicModule {
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
    context: contextOf,
    formatError: (formatted, thrown) => graphqlError(formatted, thrown, logger),
    subscriptions: {
      'graphql-ws': {
        path: '/graphql',
        onConnect: (connection: WsContext) => admit(authenticator, connection),
        // The rules above are Apollo's and it does not see what comes by this way.
        validate: (schema: GraphQLSchema, document: DocumentNode) =>
          validate(schema, document, [...specifiedRules, limitQuery]),
        onError: (_context: unknown, _id: unknown, _payload: unknown, errors: readonly GraphQLError[]) =>
          errors.map((error) => graphqlError(error.toJSON(), error, logger)),
        // A resolver's refusal comes this way and not by the one above.
        onNext: (...[, , , , result]: readonly [unknown, unknown, unknown, unknown, ExecutionResult]) =>
          result.errors === undefined
            ? undefined
            : {
                ...result,
                errors: result.errors.map((error) => graphqlError(error.toJSON(), error, logger)),
              },
      } as object,
    },
  });
}

function contextOf({ req, extra }: ConnectionContext): GraphqlContext {
  const caller = (extra ?? req?.extra)?.caller;
  if (caller !== undefined) return { caller };
  if (req === undefined) throw new Error('CALLER_MISSING');
  return { caller: callerOf(req) };
}

/** The key comes as a header, or, from browsers that cannot send one, in the first message. */
async function admit(authenticator: Authenticator, { connectionParams, extra }: WsContext): Promise<boolean> {
  const connection = extra as WsExtra;
  const { authorization = connection.request.headers.authorization } = (connectionParams ?? {}) as {
    authorization?: string;
  };
  try {
    connection.caller = await authenticator.callerBy(String(authorization ?? ''));
    return true;
  } catch {
    return false; // closed with 4403
  }
}
