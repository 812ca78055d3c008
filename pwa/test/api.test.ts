import { afterEach, describe, expect, test, vi } from 'vitest';
import { notTakenWords, silenceWords } from '../src/domain/words.ts';
import { ask, askPicture, useFetcher } from '../src/sync/api.ts';

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

/** An office that is busy for the first so many requests, and then has the picture. */
function busyFor(times: number): () => number {
  let asked = 0;
  useFetcher(async () => {
    asked += 1;
    return asked <= times
      ? new Response(JSON.stringify({ code: 'office_busy', message: 'The office is busy.' }), {
          status: 503,
          headers: { 'content-type': 'application/json', 'retry-after': '0.01' },
        })
      : new Response(new Uint8Array([1, 2, 3]), { headers: { 'content-type': 'image/jpeg' } });
  });
  return () => asked;
}

describe('a busy office', () => {
  test('is asked for a picture again, and not for ever', async () => {
    const asked = busyFor(2);
    expect(new Uint8Array((await askPicture('/p'))!)).toEqual(new Uint8Array([1, 2, 3]));
    expect(asked()).toBe(3);
    const never = busyFor(100);
    expect(await askPicture('/p')).toBeNull();
    expect(never()).toBe(4);
  });

  test('says when it may be asked again, and what a person did is theirs to do again', async () => {
    busyFor(1);
    const reply = await ask('/api/health');
    expect(reply).toMatchObject({ kind: 'none', isBusy: true, wait_s: 0.01 });
    if (reply.kind !== 'none') throw new Error('it was busy');
    expect(silenceWords(reply)).toBe('The office is busy. It is asked again by itself.');
    expect(notTakenWords(reply)).toBe('The office is busy. Try again in a moment.');
    expect(notTakenWords({ why: 'no connection' })).toBe('No answer from the office: no connection.');
  });
});
