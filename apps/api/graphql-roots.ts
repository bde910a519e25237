import type { GraphQLSchema } from 'graphql';

/** Says what the three roots are for, which their decorators have no place for. */
export function describeRoots(schema: GraphQLSchema): GraphQLSchema {
  const roots = [
    [schema.getQueryType(), 'What can be looked at.'],
    [schema.getMutationType(), 'What can be done.'],
    [schema.getSubscriptionType(), 'What can be followed, over graphql-ws.'],
  ] as const;
  for (const [root, description] of roots) if (root != null) root.description = description;
  return schema;
}
