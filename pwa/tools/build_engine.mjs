/**
 * Build the engine for the phone: the office's own Python packed beside a Python that runs in the browser.
 *
 * Writes `src/generated/engine/` (the files, named by a hash of what they hold) and `src/generated/engine.json` (where they are).
 * The standard library is cut down to what the engine needs, which is found out by running it; then a second, fresh Python
 * works the sample out with the cut library and must say the very same, or the build fails.
 */
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { loadPyodide } from 'pyodide';

const HERE = dirname(fileURLToPath(import.meta.url));
const PACKAGE = join(HERE, '..', '..', 'backend', 'wattwalk');
const GENERATED = join(HERE, '..', 'src', 'generated');
const RUNTIME = dirname(createRequire(import.meta.url).resolve('pyodide/pyodide.asm.wasm'));
/** What the phone runs of the package. */
const PACKED = ['__init__.py', 'answer.py', 'survey', 'engine', 'offers', 'pictures', 'catalogue'];
/** The house that is worked out to see what is needed, and the reader of its units; they are not packed. */
const SAMPLE = ['house.py', 'works.py'];
const SAMPLE_ASKS = 'unit_list.py';
/** What is asked of it, as the phone's worker would ask; this is packed. */
const SAMPLE_KEPT = 'sample.json';

const hashOf = (...parts) => {
  const digest = createHash('sha256');
  for (const part of parts) digest.update(part);
  return digest.digest('hex').slice(0, 12);
};

function filesOf(path) {
  if (/\.(py|csv)$/.test(path)) return [path];
  return readdirSync(path, { withFileTypes: true })
    .filter((entry) => (entry.isDirectory() ? entry.name !== '__pycache__' : /\.(py|csv)$/.test(entry.name)))
    .flatMap((entry) => filesOf(join(path, entry.name)));
}

/** A Python without any of the packages it could be given, and with an order of its own things that never changes. */
const start = (lock, more) =>
  loadPyodide({ lockFileContents: lock, packageBaseUrl: RUNTIME, env: { PYTHONHASHSEED: '0' }, ...more });

const { info } = JSON.parse(readFileSync(join(RUNTIME, 'pyodide-lock.json'), 'utf8'));
const lock = JSON.stringify({ info, packages: {} });

const first = await start(lock);
const write = (path, data) => {
  first.FS.mkdirTree(dirname(path));
  first.FS.writeFile(path, data);
};
const packed = PACKED.flatMap((name) => filesOf(join(PACKAGE, name)));
for (const path of packed) write(`/sources/wattwalk/${relative(PACKAGE, path)}`, readFileSync(path));
write('/sources/sample/__init__.py', '');
for (const name of SAMPLE) write(`/sources/sample/${name}`, readFileSync(join(PACKAGE, 'demo', name)));
write(`/sources/wattwalk/${SAMPLE_ASKS}`, readFileSync(join(PACKAGE, SAMPLE_ASKS)));
write('/build/pack_engine.py', readFileSync(join(HERE, 'pack_engine.py')));
first.runPython(`
import sys
sys.path.append("/build")
import pack_engine
pack_engine.start("/sources")
`);
const tool = first.pyimport('pack_engine');
const [request, figures, rest] = tool.run_sample().toJs();
tool.import_everything();
// The phone works it out once before it keeps the memory of its engine.
write(`/sources/wattwalk/${SAMPLE_KEPT}`, tool.without_words(request));
const names = first.toPy([...packed, join(PACKAGE, SAMPLE_KEPT)].map((path) => `wattwalk/${relative(PACKAGE, path)}`));
const counts = [
  tool.pack_engine('/sources', names, '/build/engine'),
  tool.pack_standard_library('/lib/python314.zip', '/build/library'),
];
const [engine, library] = ['engine', 'library'].map((name) => Buffer.from(first.FS.readFile(`/build/${name}`)));

const runtime = ['pyodide.asm.mjs', 'pyodide.asm.wasm'].map((name) => [name, readFileSync(join(RUNTIME, name))]);
const folder = `python-${hashOf(...runtime.map(([, data]) => data))}`;
const files = {
  ...Object.fromEntries(runtime.map(([name, data]) => [`${folder}/${name}`, data])),
  [`engine/library-${hashOf(library)}.bin`]: library,
  [`engine/wattwalk-${hashOf(engine)}.bin`]: engine,
};
rmSync(join(GENERATED, 'engine.json'), { force: true });
rmSync(join(GENERATED, 'engine'), { recursive: true, force: true });
for (const [name, data] of Object.entries(files)) {
  mkdirSync(dirname(join(GENERATED, 'engine', name)), { recursive: true });
  writeFileSync(join(GENERATED, 'engine', name), data);
}
const [libraryName, engineName] = Object.keys(files).slice(2);
const second = await start(lock, { stdLibURL: join(GENERATED, 'engine', libraryName) });
second.FS.writeFile('/lib/wattwalk.zip', engine);
second.globals.set('request', request);
const again = second
  .runPython(
    `
import sys
sys.path.append("/lib/wattwalk.zip")
from wattwalk.answer import Desk
desk = Desk()
(desk.figures(request), desk.rest())
`,
  )
  .toJs();
if (again[0] !== figures || again[1] !== rest) throw new Error('The packed engine does not say what its sources say.');

// Written last: without it nothing of this is taken into the app.
const described = {
  version: JSON.parse(figures).assessment.engine,
  python: `${folder}/`,
  library: libraryName,
  engine: engineName,
  sample: SAMPLE_KEPT,
  lock,
};
writeFileSync(join(GENERATED, 'engine.json'), `${JSON.stringify(described, null, 1)}\n`);
const size = (data) => `${(data.length / 1e6).toFixed(2)} MB`;
console.log(
  `engine: ${counts[0]} files in ${size(engine)}, ${counts[1]} modules of the standard library in ${size(library)}`,
);
// Pyodide keeps a timer of its own.
process.exit(0);
