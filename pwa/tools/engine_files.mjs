/** A step of the build: what `build_engine.mjs` has made goes out under the names it was given, which hold a hash already. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const MADE = join(dirname(fileURLToPath(import.meta.url)), '..', 'src', 'generated', 'engine');

export function engineFiles() {
  return {
    name: 'engine-files',
    apply: 'build',
    generateBundle() {
      for (const entry of readdirSync(MADE, { recursive: true, withFileTypes: true }).filter((item) => item.isFile())) {
        const path = join(entry.parentPath, entry.name);
        this.emitFile({
          type: 'asset',
          fileName: path.slice(MADE.length + 1).replaceAll('\\', '/'),
          source: readFileSync(path),
        });
      }
    },
  };
}
