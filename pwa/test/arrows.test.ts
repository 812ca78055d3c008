/** The client's folders point one way, and only their own folder touches the database or the network. */
import { expect, test } from 'vitest';

const sources = import.meta.glob<string>('../src/**/*.{ts,tsx}', { eager: true, query: '?raw', import: 'default' });

/** What each folder may import besides itself. */
const MAY: Record<string, string[]> = {
  domain: ['generated'],
  store: ['domain'],
  sync: ['store', 'domain'],
  engine: ['store', 'domain', 'generated'],
  ui: ['sync', 'store', 'domain'],
  pictures: ['domain'],
  forms: ['ui', 'sync', 'engine', 'store', 'domain', 'pictures'],
  screens: ['forms', 'ui', 'pictures', 'sync', 'engine', 'store', 'domain'],
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
