import { SETTINGS, type Setting, type SettingName, type Settings } from './settings-table.js';

export interface SettingProblem {
  readonly name: string;
  /** What was found, or that it is hidden because it is a secret. */
  readonly found: string;
  readonly allowed: string;
  readonly action: string;
}

/** All that is wrong with the environment, at once. */
export class SettingsError extends Error {
  override readonly name = 'SettingsError';
  readonly code = 'SETTINGS_WRONG';
  readonly retryable = false;

  constructor(readonly problems: readonly SettingProblem[]) {
    super(['The settings are wrong:', ...problems.map(lineOf)].join('\n'));
  }
}

function lineOf({ name, found, allowed, action }: SettingProblem): string {
  return `  ${name}: found ${found}; allowed: ${allowed}. ${action}`;
}

type Environment = Readonly<Record<string, string | undefined>>;

const PREFIX = 'FORKLINE_';
const FOUND_LENGTH_MAX = 60;

/**
 * The settings of this process, from an environment such as `process.env`.
 *
 * An empty variable counts as left out, as compose files write it. A variable of our prefix that is no setting is a
 * mistake: most often a misspelt one whose default would hold unnoticed.
 *
 * Errors  SettingsError with every problem.
 */
export function readSettings(environment: Environment): Settings {
  const problems: SettingProblem[] = unknownVariables(environment);
  const values: Partial<Record<SettingName, unknown>> = {};
  for (const [key, setting] of Object.entries(SETTINGS) as [SettingName, Setting][]) {
    const text = textOf(environment, setting);
    if (text === undefined) continue;
    const parsed = setting.schema.safeParse(text);
    if (parsed.success) values[key] = parsed.data;
    else problems.push(wrongValue(setting, text));
  }
  if (problems.length > 0) throw new SettingsError(problems);
  return values as Settings;
}

function textOf(environment: Environment, setting: Setting): string | undefined {
  const text = environment[setting.name];
  return text === undefined || text === '' ? setting.default : text;
}

function wrongValue({ name, type, visibility }: Setting, text: string): SettingProblem {
  const shown = text.length > FOUND_LENGTH_MAX ? `${text.slice(0, FOUND_LENGTH_MAX)}...` : text;
  const found = visibility === 'secret' ? 'a value that is not shown' : JSON.stringify(shown);
  return { name, found, allowed: type, action: 'Change it, or leave it out for the default.' };
}

function unknownVariables(environment: Environment): SettingProblem[] {
  const names: readonly string[] = Object.values(SETTINGS).map(({ name }) => name);
  return Object.keys(environment)
    .filter((name) => name.startsWith(PREFIX) && !names.includes(name))
    .sort()
    .map((name) => ({
      name,
      found: 'a variable that is no setting',
      allowed: 'the names in the table of settings',
      action: 'Correct its name or remove it.',
    }));
}

/** The table of settings for the README. */
export function settingsMarkdown(): string {
  const rows = (Object.values(SETTINGS) as Setting[]).map(
    ({ name, type, help, visibility, default: preset }) => {
      const shown = preset === undefined || preset === '' ? '(none)' : `\`${preset}\``;
      return `| \`${name}\` | ${type} | ${shown} | ${help}${visibility === 'secret' ? ' **Secret.**' : ''} |`;
    },
  );
  return ['| variable | what it may be | default | what it does |', '|---|---|---|---|', ...rows, ''].join(
    '\n',
  );
}
