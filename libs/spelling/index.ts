export { nearestName } from './nearest-name.js';
