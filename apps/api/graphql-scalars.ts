import { GraphQLScalarType, valueFromASTUntyped } from 'graphql';

/**
 * Requests are scalars of JSON and not input types: the contract takes a length as a number or as text, and a block
 * as a word, an id or an outline, which no input type can say. So the same JSON serves every door, and what is wrong
 * with it is listed in the same words.
 */
function jsonScalar(name: string, description: string): GraphQLScalarType<unknown, unknown> {
  return new GraphQLScalarType({
    name,
    description,
    serialize: (value) => value,
    parseValue: (value) => value,
    parseLiteral: (node, variables) => valueFromASTUntyped(node, variables),
  });
}

const requestScalar = (name: string, what: string) =>
  jsonScalar(name, `${what}: the JSON of components/schemas/${name} in openapi.json.`);

export const JsonValue = jsonScalar('JsonValue', 'A JSON value.');
export const DraftRequestJson = requestScalar('DraftRequest', 'What a draft is made from');
export const PreviewRequestJson = requestScalar('PreviewRequest', 'What a preview is made from');
export const RecipeJson = requestScalar('Recipe', 'A recipe');
export const ExportRequestJson = requestScalar('ExportRequest', 'What a draft is printed on');
export const DraftTokenRequestJson = requestScalar('DraftTokenRequest', 'How long a token is good for');
export const MarkerRequestJson = requestScalar('MarkerRequest', 'What is laid on which cloth');
export const CheckRequestJson = requestScalar('CheckRequest', 'A pattern and what it is held to');
export const RulesProfileRequestJson = requestScalar('RulesProfileRequest', 'What patterns are held to');
export const BodyRequestJson = requestScalar('BodyRequest', 'The measures of a person');
export const BlockRequestJson = requestScalar('BlockRequest', 'A block');
export const WebhookEndpointRequestJson = requestScalar('WebhookEndpointRequest', 'Where events are sent');
export const WebhookEndpointChangeJson = requestScalar(
  'WebhookEndpointChange',
  'What changes of a webhook endpoint',
);
