export * from './embedded-postgres-error.js';
export { type ServerProfile } from './launch-server.js';
export { identify, type ProcessIdentity } from './running-process.js';
export * from './start-embedded-postgres.js';
export * from './use-postgres.js';
