import js from '@eslint/js';
import tseslint from 'typescript-eslint';
import { LIBS } from './architecture.mjs';

const pureLibs = Object.entries(LIBS)
  .filter(([, { tier }]) => tier === 'pure')
  .map(([name]) => `libs/${name}/**/*.ts`);

export default tseslint.config(
  {
    ignores: [
      'dist/',
      'node_modules/',
      '.forkline/',
      'demo-out/',
      'coverage/',
      'libs/persistence/generated/',
    ],
  },
  js.configs.recommended,
  {
    files: ['**/*.mjs'],
    languageOptions: {
      globals: {
        process: 'readonly',
        console: 'readonly',
        URL: 'readonly',
        Atomics: 'readonly',
        SharedArrayBuffer: 'readonly',
      },
    },
  },
  {
    files: ['**/*.ts'],
    extends: [tseslint.configs.recommendedTypeChecked],
    languageOptions: { parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname } },
    rules: {
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/consistent-type-imports': 'off',
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      // A generator or a verb may be async for its callers' sake.
      '@typescript-eslint/require-await': 'off',
      '@typescript-eslint/unbound-method': 'off',
      // XML forbids control characters; the writer has to name them to remove them.
      'no-control-regex': 'off',
      // Bodies that only read an iterator's index or take a callback's shape.
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      'max-lines-per-function': ['error', { max: 60, skipBlankLines: true, skipComments: true }],
      'no-restricted-syntax': [
        'error',
        {
          selector: "CallExpression[callee.name='forwardRef']",
          message: 'Two classes that need each other are one class, or hide a third.',
        },
      ],
    },
  },
  {
    files: pureLibs,
    ignores: ['**/*.spec.ts'],
    rules: {
      'no-restricted-globals': ['error', 'Date', 'process', 'performance', 'setTimeout', 'fetch', 'crypto'],
      'no-restricted-properties': [
        'error',
        { object: 'Math', property: 'random', message: 'Seeds are arguments.' },
      ],
    },
  },
  {
    files: ['**/*.spec.ts', 'test/**/*.ts', 'bench/**/*.ts'],
    rules: {
      'max-lines-per-function': 'off',
      '@typescript-eslint/no-unsafe-member-access': 'off',
      '@typescript-eslint/no-unsafe-assignment': 'off',
      '@typescript-eslint/no-unsafe-argument': 'off',
      '@typescript-eslint/no-unsafe-call': 'off',
      '@typescript-eslint/no-unsafe-return': 'off',
    },
  },
);
