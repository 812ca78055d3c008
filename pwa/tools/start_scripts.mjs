/**
 * A step of the build: what a start reads goes out as three plain scripts, and all else as modules that take from them.
 *
 * A browser keeps the compiled form of a plain script when the service worker puts it into its cache, and starts from that. A module
 * it parses anew at every start: the compiled form that it keeps of one is never taken where a service worker stands in between.
 * So the page has the script that reads the store ahead (`early`), the survey model as one text (`model`), and all that the app leans
 * on from its entry (`start`). Screens that come later are modules; they import from `libraries` and `first`, which hand on what `start` has.
 */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseAst } from 'vite';

const SOURCES = join(dirname(fileURLToPath(import.meta.url)), '..', 'src');
const ENTRY = join(SOURCES, 'main.tsx');
const EARLY = join(SOURCES, 'store', 'early.ts');
const MODEL = join(SOURCES, 'generated', 'model.json');
/** Where the scripts hand on what they have. */
const STARTED = 'globalThis.wattwalkStart';
const MODEL_HELD = 'globalThis.wattwalkModel';
/** A plain script has its own address from the page. */
const META = 'wattwalkMeta';
/** The chunks of all that the entry leans on, each after what it leans on itself: other people's packages, and what is our own. */
const CHUNKS = ['libraries', 'first'];
const [LIBRARIES, FIRST] = CHUNKS;
/** The chunk of what the build itself brings along where it is needed; every chunk has its own use of it. */
const RUNTIME = 'rolldown-runtime';

let reached = null;

/** Name the chunk of a module that the app leans on from its entry, without what is asked for later; null for any other. */
export function chunkOfTheStart(id, graph) {
  if (!reached) {
    reached = new Set([ENTRY]);
    for (const each of reached) for (const next of graph.getModuleInfo(each)?.importedIds ?? []) reached.add(next);
  }
  return reached.has(id) ? (id.includes('/node_modules/') ? LIBRARIES : FIRST) : null;
}

const named = (name, text) => `assets/${name}-${createHash('sha256').update(text).digest('hex').slice(0, 8)}.js`;

const nameOf = (node) => node.name ?? node.value;
const cut = (code, nodes) => nodes.reduceRight((text, node) => text.slice(0, node.start) + text.slice(node.end), code);

/** What a chunk says, takes and hands on: its text without imports and exports, and both as pairs of the name outside and the one inside. */
function taken({ fileName, code: text }) {
  const { body } = parseAst(text);
  const imports = body.filter((node) => node.type === 'ImportDeclaration');
  const exports = body.filter((node) => node.type === 'ExportNamedDeclaration' && !node.declaration && !node.source);
  const wrong = body.find((node) => /^(Import|Export)/.test(node.type) && ![...imports, ...exports].includes(node));
  if (wrong) throw new Error(`${fileName}: a ${wrong.type} cannot stand in a plain script.`);
  const code = cut(
    text,
    [...imports, ...exports].sort((one, other) => one.start - other.start),
  ).replaceAll('import.meta', META);
  const namesOf = (node, outside) => node.specifiers.map((each) => [nameOf(each[outside]), each.local.name]);
  return {
    code,
    takes: imports.map((node) => ({ from: node.source.value.split('/').at(-1), names: namesOf(node, 'imported') })),
    gives: exports.flatMap((node) => namesOf(node, 'exported')),
  };
}

const pairs = (names) => names.map(([outside, inside]) => `${JSON.stringify(outside)}:${inside}`).join();

/** The chunks as one plain script, each in a scope of its own; a mark before each tells a test how much is whose. */
function plainScript(chunks) {
  const parts = chunks.map((chunk, place) => {
    const { code, takes, gives } = taken(chunk);
    const inside = takes.map(({ from, names }) => {
      const given = chunks.slice(0, place).find((other) => other.fileName.endsWith(`/${from}`));
      if (!given) throw new Error(`A start reads more than its one script: ${chunk.fileName} leans on ${from}.`);
      return `const {${pairs(names)}}=held[${JSON.stringify(given.name)}];`;
    });
    return `/*${chunk.name}*/held[${JSON.stringify(chunk.name)}]=(()=>{${inside.join('')}${code}\nreturn {${pairs(gives)}}})();\n`;
  });
  const start = `"use strict";const ${META}={url:document.currentScript.src},held=${STARTED}={};`;
  return `(()=>{${start}\n${parts.join('')}})();\n`;
}

/** The module that hands on what a chunk has in the plain script. */
function handingOn(chunk) {
  const { gives } = taken(chunk);
  const held = gives.map(([outside], index) => `const _${index}=held[${JSON.stringify(outside)}];`).join('');
  const names = gives.map(([outside], index) => `_${index} as ${outside}`).join();
  return `const held=${STARTED}.${chunk.name};${held}export{${names}};\n`;
}

export function startScripts() {
  const made = {};
  const emit = (context, name, source) => {
    made[name] = named(name, source);
    context.emitFile({ type: 'asset', fileName: made[name], source });
  };
  return {
    name: 'start-scripts',
    apply: 'build',
    enforce: 'pre',
    buildStart() {
      reached = null;
      this.emitFile({ type: 'chunk', id: EARLY, name: 'early' });
    },
    load: {
      order: 'pre',
      handler(id) {
        if (id !== MODEL) return null;
        const text = JSON.stringify(JSON.parse(readFileSync(id, 'utf8'))).replaceAll(/['\\]/g, '\\$&');
        emit(this, 'model', `${MODEL_HELD}=JSON.parse('${text}');\n`);
        return { code: `export default ${MODEL_HELD};`, moduleType: 'js' };
      },
    },
    generateBundle: {
      order: 'post',
      handler(_options, bundle) {
        const chunks = Object.values(bundle).filter((item) => item.type === 'chunk');
        const page = bundle['index.html'];
        const early = chunks.find((item) => item.facadeModuleId === EARLY);
        const start = CHUNKS.map((name) => chunks.find((item) => item.name === name)).filter(Boolean);
        if (!page || !early || start.length !== CHUNKS.length || !made.model)
          throw new Error('A start is not made of what it was.');
        if (early.imports.length > 0) throw new Error(`${early.fileName} has to be a script without imports.`);
        const runtime = chunks.filter((item) => item.name === RUNTIME);
        emit(this, 'start', plainScript([...runtime, ...start]));
        for (const chunk of start) chunk.code = handingOn(chunk);
        early.code = `(()=>{"use strict";${taken(early).code}})();\n`;
        const tag = (attributes) => `<script ${attributes}></script>`;
        const scripts = [
          // Before anything is drawn or parsed: the store answers the sooner.
          tag(`src="/${early.fileName}"`),
          ...[made.model, made.start].map((name) => tag(`defer src="/${name}"`)),
        ];
        const without = String(page.source)
          .replaceAll(/<link rel="modulepreload"[^>]*>\s*/g, '')
          .replaceAll(/<script type="module"[^>]*><\/script>\s*/g, '');
        page.source = without.replace(/(<meta charset="utf-8" \/>\s*)/, `$1${scripts.join('\n    ')}\n    `);
        if (!String(page.source).includes(made.start)) throw new Error('The page does not ask for its script.');
      },
    },
  };
}
