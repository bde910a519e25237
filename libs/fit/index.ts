export * from './ease.js';
export * from './step-room.js';
export * from './fit-figures.js';
export * from './leg-lift-room.js';
