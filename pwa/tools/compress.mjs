/** Put a `.br` and a `.gz` beside every built file that gets smaller by it: the office's server sends them as they are. */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { brotliCompressSync, constants, gzipSync } from 'node:zlib';

const BUILT = join(dirname(fileURLToPath(import.meta.url)), '..', 'dist');
const SMALLER = /\.(html|js|mjs|css|json|svg|webmanifest|wasm|bin)$/;
/** Above this the last few per cent would take a minute: the Python runtime, which a phone fetches once in a year. */
const LARGE_BYTES = 5_000_000;

const WAYS = {
  br: (data) =>
    brotliCompressSync(data, {
      params: {
        [constants.BROTLI_PARAM_QUALITY]: data.length > LARGE_BYTES ? 9 : 11,
        [constants.BROTLI_PARAM_SIZE_HINT]: data.length,
      },
    }),
  gz: (data) => gzipSync(data, { level: 9 }),
};

for (const name of readdirSync(BUILT, { recursive: true, encoding: 'utf8' }).filter((each) => SMALLER.test(each))) {
  const path = join(BUILT, name);
  const data = readFileSync(path);
  for (const [ending, compress] of Object.entries(WAYS)) {
    const compressed = compress(data);
    // A few bytes less are not worth a second file.
    if (compressed.length < data.length * 0.95) writeFileSync(`${path}.${ending}`, compressed);
  }
}
