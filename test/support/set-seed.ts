import fc from 'fast-check';
import { SEED } from './seed.js';

// Run by Jest before each spec: a property that states no seed of its own starts from the one of the run.
fc.configureGlobal({ seed: SEED });
