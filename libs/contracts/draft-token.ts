import { fields, whole } from './field.js';

/** A minute is too short to reach an app; a week is longer than anybody takes to print. Design choices. */
export const TOKEN_SECONDS = { min: 60, max: 7 * 24 * 3_600, usual: 3_600 } as const;

const { min, max, usual } = TOKEN_SECONDS;
const EXPIRES_IN = whole(
  { min, max, unit: 's' },
  { default: usual, description: 'How long the token opens anything.' },
);

export const DRAFT_TOKEN_REQUEST = fields({ expiresInSeconds: EXPIRES_IN.optional() }).meta({
  id: 'DraftTokenRequest',
});

/** Cut files and prints. All others hold measures of the person, or a hash of them, or may with a later release. */
const HANDED =
  /^(pattern\.(svg|dxf)|sheet\.pdf|tiles-(a4|letter|a3|tabloid)\.pdf|plot(-\d+)?\.plt|marker(-\d+)?\.(json|svg|pdf|dxf|plt)|marker-sheet\.pdf)$/;

/** Whether a file of a draft is opened by a token: never one that says what the person measures. */
export function isHandedOn(fileName: string): boolean {
  return HANDED.test(fileName);
}
