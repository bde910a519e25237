// npm run bench                                                             drafting
// npm run bench -- marker INSTANCE.json SECONDS THREADS SEEDS [OUT_FOLDER]  the marker engine
// npm run bench -- marker-growth INSTANCE.json                              cost of a move, 1 to 8 times the instance
// npm run bench -- marker-trousers [COUNTS]                                 trousers on cloth against a box packer
// npm run bench -- steadiness BODIES.csv [even|odd|all] [COUNT] [EASE]     how far 5 mm of a measure move a corner
// npm run bench -- outputs                                                  the files of one draft
// npm run bench -- preview                                                  previews over HTTP
const [, , which] = process.argv;
if (which === 'marker') await import('./marker.js');
else if (which === 'marker-growth') await import('./marker-growth.js');
else if (which === 'marker-trousers') await import('./marker-trousers.js');
else if (which === 'steadiness') await import('./steadiness.js');
else if (which === 'outputs') await import('./outputs.js');
else if (which === 'preview') await import('./preview.js');
else await import('./drafting.js');
