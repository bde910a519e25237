export { filePlaceOf } from './file-place.js';
export { SettingsError, readSettings, settingsMarkdown, type SettingProblem } from './read-settings.js';
export { SETTINGS, type Setting, type SettingName, type Settings } from './settings-table.js';
