import type { IncomingMessage, Server } from 'node:http';
import type { Duplex } from 'node:stream';
import {
  GraphQLError,
  specifiedRules,
  validate,
  type FormattedExecutionResult,
  type GraphQLSchema,
} from 'graphql';
import { CloseCode, type Context } from 'graphql-ws';
import { useServer, type Extra } from 'graphql-ws/use/ws';
import { WebSocketServer } from 'ws';
import type { Logger } from '#observability';
import type { Authenticator } from './authenticate.js';
import type { Caller } from './caller.js';
import type { GraphqlContext } from './graphql-args.js';
import { graphqlError } from './graphql-errors.js';
import { limitQuery } from './graphql-limits.js';

export interface GraphqlSocketOptions {
  readonly schema: GraphQLSchema;
  readonly authenticator: Authenticator;
  readonly logger: Logger;
  /** Of one message; as for the body of a request. */
  readonly messageBytesMax: number;
}

export interface GraphqlSocket {
  close(): Promise<void>;
}

/** What a connection that passed carries. */
type Connection = Extra & Record<PropertyKey, unknown> & { caller?: Caller };
type Connected = Context<Record<string, unknown>, Connection>;

/**
 * GraphQL over graphql-ws on the service's own port, for the subscription.
 *
 * Nest could open it, but with messages of 100 MB from anybody and without a word on other addresses.
 */
export function openGraphqlSocket(server: Server, options: GraphqlSocketOptions): GraphqlSocket {
  const { schema, authenticator, logger, messageBytesMax } = options;
  const sockets = new WebSocketServer({ noServer: true, maxPayload: messageBytesMax });
  const worded = (errors: readonly GraphQLError[]) =>
    errors.map((error) => graphqlError(error.toJSON(), error, logger));
  const { dispose } = useServer<Record<string, unknown>, Connection>(
    {
      schema,
      context: ({ extra }): GraphqlContext => ({ caller: callerOf(extra) }),
      onConnect: (connected) => admit(authenticator, connected),
      onSubscribe: ({ extra }) => overLimit(authenticator, callerOf(extra)),
      // What comes by this way passes Apollo and its rules by.
      validate: (within, document) => validate(within, document, [...specifiedRules, limitQuery]),
      onError: (_connected, _id, _payload, errors) => worded(errors),
      // A resolver's refusal comes this way and not by the one above.
      onNext: (_connected, _id, _payload, _args, { errors, ...result }) =>
        errors === undefined
          ? undefined
          : ({ ...result, errors: worded(errors) } as FormattedExecutionResult),
    },
    sockets,
  );
  server.on('upgrade', (request: IncomingMessage, socket: Duplex, head: Buffer) => {
    if (request.url?.split('?')[0] !== '/graphql') return void socket.destroy();
    sockets.handleUpgrade(request, socket, head, (opened) => {
      sockets.emit('connection', opened, request);
      // graphql-ws would print it past our log. The socket closes itself and says why.
      opened.removeAllListeners('error').on('error', () => logger.debug('socket.failed'));
    });
  });
  return { close: async () => dispose() };
}

/** The key comes as a header or, from browsers, which cannot send one, in the first message. */
async function admit(authenticator: Authenticator, { connectionParams, extra }: Connected): Promise<boolean> {
  const sent = connectionParams?.['authorization'] ?? extra.request.headers.authorization;
  try {
    extra.caller = await authenticator.callerBy(typeof sent === 'string' ? sent : undefined);
    return true;
  } catch {
    return false; // closed as CloseCode.Forbidden
  }
}

function callerOf({ caller, socket }: Connection): Caller {
  if (caller !== undefined) return caller;
  socket.close(CloseCode.Unauthorized, 'Unauthorized');
  throw new Error('CALLER_MISSING');
}

function overLimit(authenticator: Authenticator, caller: Caller): readonly GraphQLError[] | undefined {
  try {
    authenticator.count(caller);
    return undefined;
  } catch (error) {
    return [new GraphQLError('Too many requests.', { originalError: error as Error })];
  }
}
