import {
  GraphQLError,
  Kind,
  type ASTVisitor,
  type FieldNode,
  type FragmentDefinitionNode,
  type SelectionNode,
  type SelectionSetNode,
  type ValidationContext,
} from 'graphql';
import { PAGE_LIMIT_DEFAULT, PAGE_LIMIT_MAX } from '#contracts';

/** Deeper than any answer of ours; the introspection query of the usual tools needs 13. */
export const DEPTH_MAX = 15;

/**
 * Fields one request may ask for, a list counted as often as it may be long. A page of 200 drafts with every field
 * is 7,000; ten such lists under other names are refused.
 */
export const COST_MAX = 10_000;

interface Size {
  readonly depth: number;
  readonly cost: number;
}

/** Deep and wide enough to be refused whatever else is asked. */
const TOO_LARGE: Size = { depth: DEPTH_MAX + 1, cost: COST_MAX + 1 };

/**
 * A validation rule that refuses what would cost too much, before any of it is done.
 *
 * Fragments are measured once and remembered, so that a query cannot make the measuring itself long; one that uses
 * itself is too deep.
 */
export function limitQuery(context: ValidationContext): ASTVisitor {
  const fragments = new Map<string, Size | 'being measured'>();

  const sizeOfSet = (set: SelectionSetNode | undefined): Size =>
    (set?.selections ?? []).map(sizeOf).reduce(beside, { depth: 0, cost: 0 });

  function sizeOf(selection: SelectionNode): Size {
    if (selection.kind === Kind.FRAGMENT_SPREAD)
      return sizeOfFragment(context.getFragment(selection.name.value));
    if (selection.kind === Kind.INLINE_FRAGMENT) return sizeOfSet(selection.selectionSet);
    const { depth, cost } = sizeOfSet(selection.selectionSet);
    return { depth: depth + 1, cost: Math.min(COST_MAX + 1, 1 + cost * timesOf(selection)) };
  }

  function sizeOfFragment(fragment: FragmentDefinitionNode | null | undefined): Size {
    if (fragment === null || fragment === undefined) return { depth: 0, cost: 0 };
    const name = fragment.name.value;
    const known = fragments.get(name);
    if (known !== undefined) return known === 'being measured' ? TOO_LARGE : known;
    fragments.set(name, 'being measured');
    const size = sizeOfSet(fragment.selectionSet);
    fragments.set(name, size);
    return size;
  }

  return {
    OperationDefinition: (operation) => {
      const { depth, cost } = sizeOfSet(operation.selectionSet);
      if (depth > DEPTH_MAX) report(context, `At most ${DEPTH_MAX} levels may be asked for.`);
      if (cost > COST_MAX) {
        const says = `At most ${COST_MAX} fields may be asked for, each as often as its list may be long.`;
        report(context, says);
      }
    },
  };
}

function beside(one: Size, other: Size): Size {
  return { depth: Math.max(one.depth, other.depth), cost: Math.min(COST_MAX + 1, one.cost + other.cost) };
}

/** A page is as long as its limit; one that comes in a variable may be the longest there is. */
function timesOf({ name, arguments: given = [] }: FieldNode): number {
  if (!PAGES.has(name.value)) return 1;
  const limit = given.find((argument) => argument.name.value === 'limit')?.value;
  if (limit === undefined) return PAGE_LIMIT_DEFAULT;
  const asked = limit.kind === Kind.INT ? Number(limit.value) : PAGE_LIMIT_MAX;
  return Math.max(1, Math.min(asked, PAGE_LIMIT_MAX));
}

const PAGES: ReadonlySet<string> = new Set([
  'drafts',
  'exports',
  'draftTokens',
  'markers',
  'checks',
  'bodies',
  'blocks',
  'alterationPage',
  'webhookEndpoints',
  'deliveries',
]);

function report(context: ValidationContext, says: string): void {
  context.reportError(new GraphQLError(`${says} Ask for less at once.`));
}
