// Run as a process of its own and killed: argument 1 is the store's folder.
import { randomBytes } from 'node:crypto';
import { openDiskFileStore } from '#storage';

const store = await openDiskFileStore({ directory: process.argv[2] ?? '', nowMs: Date.now() });
// One whole file is there however soon the end comes.
await store.put(randomBytes(1_000));
console.log('ready');
for (;;) await Promise.all([1, 2, 3].map((mega) => store.put(randomBytes(mega * 1_000_000))));
