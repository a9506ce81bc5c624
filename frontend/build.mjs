// Bundles the front end into dist/: hashed names, assets.json that maps plain names to them, licences, service worker.
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";

const OUT = "dist";
const COMMON = {
  bundle: true,
  minify: true,
  charset: "utf8",
  target: ["es2022"],
  legalComments: "linked",
  metafile: true,
  jsx: "automatic",
  jsxImportSource: "preact",
  logLevel: "warning",
};

rmSync(OUT, { recursive: true, force: true });
mkdirSync(OUT);

const pages = await build({
  ...COMMON,
  format: "esm",
  splitting: true,
  entryPoints: ["src/office.ts", "src/yard.ts", "src/yard_job.ts", "src/answer.ts", "src/after.ts", "src/plan.ts", "src/office.css", "src/plan.css"],
  outdir: OUT,
  entryNames: "[name]-[hash]",
  chunkNames: "part-[hash]",
  external: ["*.woff"], // the server puts the fonts' names in
});

// Runs before the page is drawn, so it is no module.
const early = await build({ ...COMMON, format: "iife", entryPoints: ["src/early.ts"], outdir: OUT, entryNames: "[name]-[hash]" });

const names = {};
for (const { metafile } of [pages, early]) {
  for (const [path, output] of Object.entries(metafile.outputs)) {
    if (output.entryPoint) names[basename(output.entryPoint).replace(/\.ts$/, ".js")] = basename(path);
  }
}
for (const file of readdirSync("src/pictures").sort()) {
  const bytes = readFileSync(join("src/pictures", file));
  const dot = file.lastIndexOf(".");
  const hash = createHash("sha256").update(bytes).digest("hex").slice(0, 8).toUpperCase();
  names[file] = `${file.slice(0, dot)}-${hash}${file.slice(dot)}`;
  writeFileSync(join(OUT, names[file]), bytes);
}

// The service worker keeps its name: browsers look for it under the address it was first given.
const worker = await build({ ...COMMON, format: "iife", entryPoints: ["src/worker.ts"], outfile: join(OUT, "worker.js") });

const packages = new Set();
for (const { metafile } of [pages, early, worker]) {
  for (const input of Object.keys(metafile.inputs)) {
    const found = /node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(input);
    if (found) packages.add(found[1]);
  }
}
const licences = [...packages].sort().map((name) => {
  const folder = join("node_modules", name);
  const file = readdirSync(folder).find((entry) => /^licen[cs]e/i.test(entry));
  if (!file) throw new Error(`${name} ships no licence text: it cannot be bundled`);
  const { version, license } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  return `${name} ${version} (${license})\n\n${readFileSync(join(folder, file), "utf8").trim()}\n`;
});
writeFileSync(join(OUT, "licences.txt"), `${licences.join(`\n${"-".repeat(80)}\n\n`)}`);
writeFileSync(join(OUT, "assets.json"), `${JSON.stringify(names, null, 2)}\n`);
