/** The client's folders point one way, and only their own folder touches the database or the network. */
import { expect, test } from 'vitest';
import { chunkOfTheStart } from '../tools/start_scripts.mjs';

const sources = import.meta.glob<string>('../src/**/*.{ts,tsx}', { eager: true, query: '?raw', import: 'default' });

/** What each folder may import besides itself. */
const MAY: Record<string, string[]> = {
  domain: ['generated'],
  store: ['domain'],
  sync: ['store', 'domain', 'generated'],
  engine: ['store', 'domain', 'generated'],
  ui: ['sync', 'store', 'domain'],
  pictures: ['domain'],
  forms: ['ui', 'sync', 'engine', 'store', 'domain', 'pictures'],
  screens: ['forms', 'ui', 'pictures', 'sync', 'engine', 'store', 'domain', 'generated'],
};

const folderOf = (path: string): string => /^\.\.\/src\/([^/]+)\//.exec(path)?.[1] ?? '';
const files = Object.entries(sources).filter(([path]) => folderOf(path) in MAY);

function importsOf(path: string, text: string): string[] {
  const base = path.split('/').slice(2, -1);
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g)].map((found) => {
    const parts = [...base];
    for (const part of found[1]!.split('/')) {
      if (part === '..') parts.pop();
      else if (part !== '.') parts.push(part);
    }
    return parts[0]!;
  });
}

/** The files that a file leans on, types too, by their paths among the sources. */
function leansOn(path: string, text: string): string[] {
  const base = path.split('/').slice(0, -1);
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g)].map((found) => {
    const parts = [...base];
    for (const part of found[1]!.split('/')) {
      if (part === '..' && parts.at(-1) !== '..') parts.pop();
      else if (part !== '.') parts.push(part);
    }
    return parts.join('/');
  });
}

/** A way from a file back to itself, or none. */
function circleIn(graph: ReadonlyMap<string, readonly string[]>): string[] {
  const done = new Set<string>();
  const visit = (path: string, way: string[]): string[] => {
    if (way.includes(path)) return [...way.slice(way.indexOf(path)), path];
    if (done.has(path)) return [];
    for (const next of graph.get(path) ?? []) {
      const found = visit(next, [...way, path]);
      if (found.length > 0) return found;
    }
    done.add(path);
    return [];
  };
  for (const path of graph.keys()) {
    const found = visit(path, []);
    if (found.length > 0) return found;
  }
  return [];
}

test('no files lean on each other in a circle', () => {
  const graph = new Map(Object.entries(sources).map(([path, text]) => [path, leansOn(path, text)]));
  expect([...graph.values()].flat().filter((path) => graph.has(path)).length).toBeGreaterThan(300);
  expect(circleIn(graph)).toEqual([]);
});

test('a circle is seen', () => {
  expect(
    circleIn(
      new Map([
        ['a', ['b']],
        ['b', ['c']],
        ['c', ['a']],
      ]),
    ),
  ).toEqual(['a', 'b', 'c', 'a']);
  expect(
    circleIn(
      new Map([
        ['a', ['b', 'c']],
        ['b', ['c']],
      ]),
    ),
  ).toEqual([]);
});

test('what the start reads is all that its entry leans on, and nothing that is asked for later', () => {
  const library = '/node_modules/c';
  const graph: Record<string, string[]> = { a: ['b'], b: [library, 'a'], later: ['b'] };
  const of = { getModuleInfo: (id: string) => ({ importedIds: graph[id] ?? [] }) };
  const entry = { getModuleInfo: (id: string) => (id in graph ? of.getModuleInfo(id) : { importedIds: ['a'] }) };
  expect(['a', 'b', library, 'later', '/node_modules/d'].map((id) => chunkOfTheStart(id, entry))).toEqual([
    'first',
    'first',
    'libraries',
    null,
    null,
  ]);
});

test.each(files)('%s hands on nothing that changes its value', (_path, text) => {
  // What later screens take from the start they take once: a name that came to mean something else would stay behind there.
  expect(text).not.toMatch(/^export (let|var)\b|^export default /m);
});

test('the sources are found', () => {
  expect(new Set(files.map(([path]) => folderOf(path)))).toEqual(new Set(Object.keys(MAY)));
});

test.each(files)('%s imports only what lies below it', (path, text) => {
  const own = folderOf(path);
  const wrong = importsOf(path, text).filter((folder) => folder !== own && !MAY[own]!.includes(folder));
  expect(wrong).toEqual([]);
});

test.each(files)('%s leaves database, network and worker to their folders', (path, text) => {
  const own = folderOf(path);
  if (own !== 'store') expect(text).not.toMatch(/from 'dexie'|\bindexedDB\b/);
  // The engine fetches its own files and nothing of the office's.
  if (own === 'engine') expect(text).not.toMatch(/\/api\b/);
  else if (own !== 'sync') expect(text).not.toMatch(/\bfetch\(|XMLHttpRequest|sendBeacon/);
  if (own !== 'engine') expect(text).not.toMatch(/from 'pyodide'/);
  // The engine has its worker, and so has the store: only a worker may write a file and flush it.
  if (own !== 'engine' && own !== 'store') expect(text).not.toMatch(/new Worker\(/);
  if (own !== 'store') expect(text).not.toMatch(/storage\.getDirectory|createSyncAccessHandle/);
});

test.each(files)('%s has no any and no inline style', (_path, text) => {
  const code = text.replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '');
  expect(code).not.toMatch(/[(<,]\s*any\s*[,>)]|\w\??:\s*any\s*[,;=)|]|\bas any\b|\bany\[\]/);
  expect(text).not.toMatch(/\sstyle=[{"]/);
});
