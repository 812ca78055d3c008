/**
 * The packed engine under the cut-down library, in Node: reads requests from standard input, one JSON text a line, and writes
 * two lines for each, the figures and the rest. What the phone runs, without a browser.
 */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { loadPyodide } from 'pyodide';

const GENERATED = join(dirname(fileURLToPath(import.meta.url)), '..', 'src', 'generated');
const files = JSON.parse(readFileSync(join(GENERATED, 'engine.json'), 'utf8'));
const made = (name) => join(GENERATED, 'engine', name);

const python = await loadPyodide({
  lockFileContents: files.lock,
  packageBaseUrl: GENERATED,
  stdLibURL: made(files.library),
});
python.FS.writeFile('/lib/wattwalk.zip', readFileSync(made(files.engine)));
const desk = python.runPython(
  'import sys\nsys.path.append("/lib/wattwalk.zip")\nfrom wattwalk.answer import Desk\nDesk()',
);
for await (const request of createInterface({ input: process.stdin }))
  process.stdout.write(`${desk.figures(request)}\n${desk.rest()}\n`);
// Pyodide keeps a timer of its own; what was written is on its way before this.
process.stdout.end(() => process.exit(0));
