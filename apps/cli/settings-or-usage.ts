import { SettingsError, readSettings, type Settings } from '#settings';
import { UsageError } from './exit-code.js';

/** The settings of this process. Errors  UsageError with a line for each that is wrong. */
export function settingsOrUsage(): Settings {
  try {
    return readSettings(process.env);
  } catch (error) {
    if (error instanceof SettingsError) throw new UsageError(error.message.split('\n'));
    throw error;
  }
}
