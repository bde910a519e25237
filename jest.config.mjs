// Tests run on the built files: the code under test is the code that ships, and nothing has to be transformed.
export default {
  rootDir: 'dist',
  testMatch: ['**/*.spec.js'],
  setupFiles: ['<rootDir>/test/support/set-seed.js'],
  maxWorkers: 3,
  testTimeout: 120_000,
  silent: false,
};
