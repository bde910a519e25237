import { APPS, LIBS } from './architecture.mjs';

// `#x` imports resolve to the built file of a lib, relative ones to the source: a rule must see both.
const lib = (name) => `^(dist/)?libs/${name}/`;
const SPECS = '\\.(spec|fixture)\\.[jt]s$';
const names = Object.keys(LIBS);

const directionRules = names.map((name) => {
  const allowed = [name, ...LIBS[name].uses].join('|');
  return {
    name: `${name}-uses-only-its-own`,
    comment: `libs/${name} may use ${LIBS[name].uses.join(', ') || 'no other lib'}. Move the code to the lib it belongs to, or pass the value in; a new arrow is a line in architecture.mjs and a page in docs/adr.`,
    severity: 'error',
    from: { path: lib(name), pathNot: SPECS },
    to: { path: '^(dist/)?(libs|apps)/', pathNot: `^(dist/)?libs/(${allowed})/` },
  };
});

const appNames = Object.keys(APPS);
const folders = [
  ...names.map((name) => [`libs/${name}`, LIBS[name]]),
  ...appNames.map((name) => [`apps/${name}`, APPS[name]]),
];
const listedPackages = [...new Set(folders.flatMap(([, { packages }]) => packages))];
const packageRules = listedPackages.map((npm) => {
  const owners = folders.filter(([, { packages }]) => packages.includes(npm)).map(([folder]) => folder);
  return {
    name: `only-${owners.join('-and-').replaceAll('/', '-')}-names-${npm.replace(/[^a-z]+/g, '-')}`,
    comment: `${npm} is named by ${owners.join(', ')} alone. Use what that exports, or add to it.`,
    severity: 'error',
    from: { path: '^(dist/)?(libs|apps)/', pathNot: `^(dist/)?(${owners.join('|')})/|${SPECS}` },
    to: { path: `node_modules/${npm}/` },
  };
});

const listed = listedPackages.join('|');
const pure = names.filter((name) => LIBS[name].tier === 'pure').join('|');

export default {
  forbidden: [
    ...directionRules,
    ...packageRules,
    {
      name: 'pure-libs-touch-nothing',
      comment:
        'A pure lib has no files, network, clock or process. Take what you need as an argument and let an app or adapter fetch it.',
      severity: 'error',
      from: { path: `^(dist/)?libs/(${pure})/`, pathNot: SPECS },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'packages-stand-in-the-table',
      comment:
        'A lib names only npm packages that architecture.mjs lists. Use what is there; a new dependency is a line in the table and a page in docs/adr.',
      severity: 'error',
      from: { path: '^(dist/)?libs/', pathNot: SPECS },
      to: { path: 'node_modules/', pathNot: `node_modules/(${listed})/` },
    },
    {
      name: 'every-import-is-found',
      comment:
        'An import that leads nowhere is an arrow no other rule sees. Build first (node scripts/setup.mjs), or mend the name.',
      severity: 'error',
      from: { path: '^(apps|libs|bench)/' },
      to: { couldNotResolve: true },
    },
    {
      name: 'index-is-the-only-door',
      comment: 'Import another lib as #name. What its index.ts does not export is its own business.',
      severity: 'error',
      from: { path: '^(libs|apps|bench)/([^/]+)/', pathNot: SPECS },
      to: {
        path: '^(dist/)?libs/([^/]+)/',
        pathNot: ['^(dist/)?libs/[^/]+/index\\.[jt]s$', '^(dist/)?libs/$2/'],
      },
    },
    {
      name: 'no-circles',
      comment: 'Two files that need each other are one file, or hide a third. Move the shared part down.',
      severity: 'error',
      from: { pathNot: '^dist/' },
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
  ],
  options: {
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    doNotFollow: { path: ['node_modules', '^dist/'] },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'default'] },
  },
};
