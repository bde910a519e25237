import type { Verb } from './verb.js';

const EXIT_LINES = [
  'Exit: 0 the answer was written; 1 the answer is no, files are written all the same;',
  '      2 the command or its input is wrong, nothing was written; 3 the program failed.',
];

export function helpOf(verb: Verb): string {
  const rows = [
    ...Object.entries(verb.options).map(([name, spec]): [string, string] => [
      `--${name} ${spec.value}`,
      `${spec.says}${spec.needed ? ' (needed)' : ''}`,
    ]),
    ['--help', 'print this'] as [string, string],
  ];
  return [`${usageOf(verb)}`, '', ...verb.description, '', ...aligned(rows), '', ...EXIT_LINES].join('\n');
}

export function helpOfAll(verbs: readonly Verb[]): string {
  const rows = verbs.map((verb): [string, string] => [
    usageOf(verb).replace('Usage: forkline ', ''),
    verb.summary,
  ]);
  return [
    'Usage: forkline VERB ...',
    '',
    'Made-to-measure trouser patterns: a body in, a trued pattern out, with the proof.',
    '',
    ...rows.flatMap(([usage, summary]) => [`  ${usage}`, `      ${summary}`]),
    '',
    'forkline VERB --help says more about one of them.',
    ...EXIT_LINES,
  ].join('\n');
}

function usageOf(verb: Verb): string {
  const options = Object.entries(verb.options).map(([name, { value, needed }]) =>
    needed ? `--${name} ${value}` : `[--${name} ${value}]`,
  );
  return ['Usage: forkline', verb.name, ...verb.operands, ...options].join(' ');
}

function aligned(rows: readonly [string, string][]): string[] {
  const width = Math.max(...rows.map(([left]) => left.length));
  return rows.map(([left, right]) => `  ${left.padEnd(width)}  ${right}`);
}
