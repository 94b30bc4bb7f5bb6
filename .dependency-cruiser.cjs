// Who may import whom, types included. The table is the project's layout: what is not listed is refused.
// `npm test` runs it by .scripts/import-rules.mjs, which also fails where a source file was not read.

const own = {
  units: [],
  measure: ["src/units"],
  model: ["src/units"],
  workshop: ["src/model", "src/units"],
  analysis: ["src/measure", "src/model", "src/workshop", "src/units"],
  decode: ["src/measure", "src/units"],
  protocol: ["src/model", "src/analysis", "src/units"],
  pool: ["src/protocol"],
  store: ["src/model", "src/units"],
  reports: ["src/model", "src/workshop", "src/units"],
  client: ["src/pool", "src/protocol"],
  ui: ["src/client", "src/store", "src/reports", "src/model", "src/workshop", "src/protocol", "src/units"],
  cli: ["src/pool", "src/protocol", "src/store", "src/reports", "src/model", "src/workshop", "src/units"],
};
const workers = ["src/analysis", "src/decode", "src/measure", "src/model", "src/protocol", "src/units"];

const start = (folders) => `^(${folders.map((folder) => `${folder}/`).join("|")})`;
const notOf = (name, from, allowed) => ({
  name,
  comment: `${from} may import ${allowed.length === 0 ? "nothing of the project" : allowed.join(", ")}.`,
  severity: "error",
  from: { path: `^${from}/` },
  to: { path: "^(src|workers|test|\\.scripts|sample-frames)/", pathNot: start([from, ...allowed]) },
});
/** Packages that only the places named may import. */
const keep = (packages, places) => ({
  name: `${packages[0].replace(/[^a-z]+/g, "-")}-in-its-place`,
  comment: `${packages.join(", ")}: only in ${places.join(", ")}.`,
  severity: "error",
  from: { path: "^(src|workers)/", pathNot: `^(${places.join("|")})` },
  to: { path: `^(node_modules/)?(${packages.join("|")})(/|$)` },
});

module.exports = {
  forbidden: [
    ...Object.entries(own).map(([folder, allowed]) => notOf(`${folder}-imports`, `src/${folder}`, allowed)),
    notOf("workers-imports", "workers", workers),
    {
      name: "protocol-is-types",
      comment: "The contract between threads has no behaviour: it takes types alone from model and analysis.",
      severity: "error",
      from: { path: "^src/protocol/" },
      to: { path: "^src/", pathNot: "^src/(protocol|units)/", dependencyTypesNot: ["type-only"] },
    },
    {
      name: "worker-sides-apart",
      comment: "The page's workers and Node's share what lies in src, nothing of each other.",
      severity: "error",
      from: { path: "^workers/(page|node)/" },
      to: { path: "^workers/(page|node)/", pathNot: "^workers/$1/" },
    },
    {
      name: "page-store",
      comment: "The page has no files, the command line no IndexedDB.",
      severity: "error",
      from: { path: "^src/ui/" },
      to: { path: "^src/store/adapters/files" },
    },
    {
      name: "command-line-store",
      comment: "The page has no files, the command line no IndexedDB.",
      severity: "error",
      from: { path: "^src/cli/" },
      to: { path: "^src/store/adapters/", pathNot: "^src/store/adapters/files" },
    },
    {
      name: "store-ports",
      comment: "A port knows no adapter.",
      severity: "error",
      from: { path: "^src/store/[^/]+$" },
      to: { path: "^src/store/adapters/" },
    },
    {
      name: "node-in-its-place",
      comment: "Node's own modules: only in the command line, its workers and the file adapter.",
      severity: "error",
      from: { path: "^(src|workers)/", pathNot: "^(src/cli/|workers/node/|src/store/adapters/files)" },
      to: { dependencyTypes: ["core"] },
    },
    keep(["react", "react-dom", "react-aria", "react-aria-components", "react-stately"], ["src/ui/"]),
    keep(["idb"], ["src/store/adapters/indexed-db/"]),
    keep(["comlink"], ["src/client/", "workers/page/"]),
    keep(["@opencvjs"], ["workers/page/"]),
    keep(["sharp"], ["workers/node/", "src/cli/frame-pictures.ts"]),
    {
      name: "no-cycles",
      comment: "Two files that need each other are one thing, or there is a third.",
      severity: "error",
      from: {},
      to: { circular: true },
    },
    {
      name: "found",
      comment: "What is imported exists.",
      severity: "error",
      from: { path: "^(src|workers)/" },
      to: { couldNotResolve: true },
    },
    {
      name: "for-development-only",
      comment: "What the tool runs on is a dependency, not one of development alone.",
      severity: "error",
      from: { path: "^(src|workers)/" },
      to: { dependencyTypes: ["npm-dev"], dependencyTypesNot: ["type-only"], pathNot: "^node_modules/@types/" },
    },
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    exclude: { path: "^src/measure/kernels/.*\\.ts$" },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: { exportsFields: ["exports"], conditionNames: ["import", "types", "default"] },
  },
};
