export * from './ease.js';
export * from './step-room.js';
