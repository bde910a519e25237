// npm run bench                                                             drafting
// npm run bench -- marker INSTANCE.json SECONDS THREADS SEEDS [OUT_FOLDER]  the marker engine
if (process.argv[2] === 'marker') await import('./marker.js');
else await import('./drafting.js');
