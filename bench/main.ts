// npm run bench                                                             drafting
// npm run bench -- marker INSTANCE.json SECONDS THREADS SEEDS [OUT_FOLDER]  the marker engine
// npm run bench -- outputs                                                  the files of one draft
if (process.argv[2] === 'marker') await import('./marker.js');
else if (process.argv[2] === 'outputs') await import('./outputs.js');
else await import('./drafting.js');
