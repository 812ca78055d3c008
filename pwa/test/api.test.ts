import { afterEach, describe, expect, test, vi } from 'vitest';
import { ask, useFetcher } from '../src/sync/api.ts';

const LONG = {
  changes: Array.from({ length: 50 }, (_item, at) => ({ record: `room-${at}`, field: 'name', value: `Küche ≥ ${at}` })),
};

/** Ask with this body and return what went to the network. */
async function sent(body: unknown): Promise<RequestInit> {
  let seen: RequestInit = {};
  useFetcher((_path, init) => {
    seen = init;
    return Promise.resolve(new Response('{}', { headers: { 'content-type': 'application/json' } }));
  });
  expect(await ask('/api/anything', { method: 'POST', body })).toEqual({ kind: 'ok', status: 200, body: {} });
  return seen;
}

const encoding = (init: RequestInit) => new Headers(init.headers).get('content-encoding');

afterEach(() => vi.unstubAllGlobals());

test.each([
  [200, /^another page answered in its place\. A Wi-Fi/],
  [404, /^another page answered in its place\. A Wi-Fi/],
  [502, /^the office is in trouble \(502\)$/],
])(
  'a page of HTML with status %i is no answer of the office, and says what may be behind it',
  async (status, words) => {
    useFetcher(() =>
      Promise.resolve(new Response('<h1>Welcome</h1>', { status, headers: { 'content-type': 'text/html' } })),
    );
    expect(await ask('/api/anything')).toEqual({ kind: 'none', why: expect.stringMatching(words) as string });
  },
);

describe('a body', () => {
  test('goes packed when it is long, and unpacks to the same', async () => {
    const init = await sent(LONG);
    expect(encoding(init)).toBe('gzip');
    expect(new Headers(init.headers).get('content-type')).toBe('application/json');
    const packed = init.body as ArrayBuffer;
    const unpacked = await new Response(
      new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip')),
    ).text();
    expect(JSON.parse(unpacked)).toEqual(LONG);
    expect(packed.byteLength).toBeLessThan(JSON.stringify(LONG).length / 4);
  });

  test('goes as it is when it is short', async () => {
    const init = await sent({ email: 'ada@teasel.example' });
    expect(encoding(init)).toBeNull();
    expect(init.body).toBe('{"email":"ada@teasel.example"}');
  });

  test('goes as it is from a browser that cannot pack', async () => {
    vi.stubGlobal('CompressionStream', undefined);
    const init = await sent(LONG);
    expect(encoding(init)).toBeNull();
    expect(init.body).toBe(JSON.stringify(LONG));
  });

  test('that cannot be packed is no answer, so all is kept', async () => {
    vi.stubGlobal(
      'CompressionStream',
      class {
        constructor() {
          throw new Error('no memory');
        }
      },
    );
    expect(await ask('/api/anything', { method: 'POST', body: LONG })).toEqual({ kind: 'none', why: 'no memory' });
  });
});
