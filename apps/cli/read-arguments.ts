import { parseArgs } from 'node:util';
import { nearestName } from '#contracts';
import { UsageError } from './exit-code.js';
import type { Call, Verb } from './verb.js';

/**
 * What was typed behind a verb, or everything that is wrong with it.
 *
 * Node's parser splits the words; it is asked to be lenient, because its own complaint stops at the first fault and
 * knows no nearest name.
 *
 * Errors   UsageError with a line for each fault. `help` when --help stands anywhere.
 */
export function readArguments(verb: Verb, words: readonly string[]): Call | 'help' {
  const names = Object.keys(verb.options);
  const { tokens, positionals } = parseArgs({
    args: [...words],
    options: {
      ...Object.fromEntries(names.map((name) => [name, { type: 'string' as const }])),
      help: { type: 'boolean', short: 'h' },
    },
    strict: false,
    allowPositionals: true,
    tokens: true,
  });
  const typed = tokens.filter((token) => token.kind === 'option');
  if (typed.some(({ name }) => name === 'help')) return 'help';

  const faults = [...typed.flatMap((token) => optionFault(verb, token)), ...repeated(typed)];
  const options = Object.fromEntries(typed.map(({ name, value }) => [name, value ?? '']));
  for (const name of names) {
    if (verb.options[name].needed && !typed.some((token) => token.name === name))
      faults.push(`--${name} ${verb.options[name].value} is missing: ${verb.options[name].says}.`);
  }
  faults.push(...operandFaults(verb, positionals));
  if (faults.length > 0) throw new UsageError([...faults, `Try: forkline ${verb.name} --help`]);
  return { operands: positionals, options };
}

interface OptionToken {
  readonly name: string;
  readonly rawName: string;
  readonly value?: string | undefined;
  readonly inlineValue?: boolean | undefined;
}

function optionFault(verb: Verb, { name, rawName, value, inlineValue }: OptionToken): string[] {
  const spec = Object.hasOwn(verb.options, name) ? verb.options[name] : undefined;
  if (spec === undefined) {
    const near = nearestName(name, [...Object.keys(verb.options), 'help']);
    const known = Object.keys(verb.options).map((option) => `--${option}`);
    return [
      `${rawName} is not an option of ${verb.name}. ${near === undefined ? `There are ${known.join(', ')}.` : `Did you mean --${near}?`}`,
    ];
  }
  // "--out --pieces x": the lenient parser takes the next option for the value.
  if (value === undefined || value === '' || (!inlineValue && value.startsWith('--')))
    return [`--${name} needs a value behind it: ${spec.value}, ${spec.says}.`];
  if (spec.oneOf !== undefined && !spec.oneOf.includes(value)) {
    const near = nearestName(value, spec.oneOf);
    const hint = near === undefined ? '' : ` Did you mean ${near}?`;
    return [`--${name} is "${value}"; it may be ${spec.oneOf.join(', ')}.${hint}`];
  }
  return [];
}

function repeated(typed: readonly OptionToken[]): string[] {
  const names = new Set(typed.map(({ name }) => name));
  return [...names].flatMap((name) => {
    const count = typed.filter((token) => token.name === name).length;
    return count > 1 ? [`--${name} stands ${count} times; give it once.`] : [];
  });
}

function operandFaults(verb: Verb, positionals: readonly string[]): string[] {
  const missing = verb.operands.slice(positionals.length);
  const extra = positionals.slice(verb.operands.length);
  return [
    ...missing.map((name) => `${name} is missing behind ${verb.name}.`),
    ...extra.map(
      (word) => `"${word}" is one word too many: ${verb.name} takes ${verb.operands.join(' ') || 'none'}.`,
    ),
  ];
}
