import { OPERATIONS, type Operation } from '#alterations';
import { STANDING_POINTS, STANDING_QUANTITIES } from '#recipes';

/** `docs/operations.md`: how a recipe is written, and every operation it may use. */
export function operationPage(): string {
  return [HEAD, ...[...OPERATIONS.values()].flatMap(section), namesSection(), ''].join('\n');
}

const HEAD = `# Writing a recipe

Written by \`UPDATE_DOCS=1\` in \`libs/recipes/built-in/built-in.spec.ts\`, which fails when this page is out of date.

A recipe is JSON: \`name\`, \`title\`, \`summary\`, \`parameters\` and \`steps\`. A step is one of these:

| step | says |
|---|---|
| \`{ "do": OPERATION, "with": { ... }, "on": "front"\\|"back"\\|"both", "as": NAME }\` | an operation below; \`on\` only for one that works on one piece, both when left out; \`as\` names what it leaves |
| \`{ "let": NAME, "is": FORMULA }\` | gives a value a name |
| \`{ "guard": CONDITION, "level": "refuse"\\|"stop"\\|"warning"\\|"info", "code", "message", "action" }\` | what must hold, and what is said when it does not; \`refuse\` ends the recipe and leaves the block as it was |
| \`{ "report": NAME, "value": FORMULA }\` | a figure told beside the pieces |
| \`{ "when": CONDITION, "steps": [ ... ] }\` | steps taken only where the condition holds |

**Formulas** have numbers with units (\`12 mm\`, \`3/4 in\`, \`30 deg\`, \`5 %\`), names, \`+ - * /\`, comparisons, \`and or not\`,
\`min max clamp abs sqrt sin cos tan atan\` and \`if(condition, value, otherwise)\`. A length cannot be added to an angle.
In \`message\` and \`action\` a formula stands in braces: "The hem is {front.hem.length} wide.".

**References** name a point: \`front.fork\`, \`back.sideWaist\`, or what an earlier step left: after \`"as": "raised"\` on the
back it is \`back.raised\`. \`this.\` is the piece the step works on, so that one step can be written for both. Any point has
\`.x\` (mm towards the inseam, 0 on the crease) and \`.y\` (mm above the floor) in formulas. An operation with several
results leaves each under its own name: \`taper.level\`.

**Order.** A step sees what the steps before it have drawn. Where it moves the end of a seam, the neighbour has to follow
in a later step. End with \`close up\`. \`block.\` in front of a name is the block before the recipe began.

# Operations
`;

function section({ name, summary, sentence, scope, arguments: args, results, version }: Operation): string[] {
  const works = { points: 'points only', piece: 'one piece at a time', pair: 'front and back together' }[
    scope
  ];
  const left = Object.entries(results).map(([result, kind]) => `\`${result}\` (${kind})`);
  return [
    `## ${name}`,
    '',
    `${summary} Works on ${works}. Version ${version}.`,
    '',
    `> ${sentence}.`,
    '',
    ...(Object.keys(args).length === 0 ? [] : ['| takes | kind | |', '|---|---|---|']),
    ...Object.entries(args).map(([argument, { kind, says, optional, oneOf }]) => {
      const words = oneOf === undefined ? kind : `${kind}: ${oneOf.join(', ')}`;
      return `| \`${argument}\`${optional === true ? ' (may be left out)' : ''} | ${words} | ${says} |`;
    }),
    ...(Object.keys(args).length === 0 ? [] : ['']),
    ...(left.length === 0 ? [] : [`Leaves ${left.join(', ')}.`, '']),
  ];
}

/** Names are listed once; `back.` stands beside `front.`, and `block.` in front of both. */
function namesSection(): string {
  const isListed = (name: string): boolean => !name.startsWith('block.') && !name.startsWith('back.');
  const quantities = [...STANDING_QUANTITIES]
    .filter(([name]) => isListed(name) && !/\.[xy]$/.test(name))
    .map(([name, quantity]) => `| \`${name}\` | ${quantity} |`);
  const points = [...STANDING_POINTS].filter(isListed).map((name) => `\`${name}\``);
  return [
    '# Names that are always there',
    '',
    `Points: ${points.join(', ')}; the same of \`back\`; all of them as \`block.…\`.`,
    '',
    'In formulas also, likewise for `back` and with `block.` in front for what was there before the recipe:',
    '',
    '| name | |',
    '|---|---|',
    ...quantities,
  ].join('\n');
}
