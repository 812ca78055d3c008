/** Talking to the office. Only this folder fetches. */

export interface ApiProblem {
  code: string;
  message: string;
  field: string | null;
  record: string | null;
}

/**
 * What became of a request.
 *
 * `none`: no answer of ours came: no signal, a time-out, a server in trouble, a captive portal's page. Nothing may be concluded
 * from it, so everything is kept. With `isBusy` it was our office that had no time just now, took nothing, and may be asked again after
 * `wait_s`. `refused`: our office answered, and the answer is no.
 */
export type Reply<T> =
  | { kind: 'ok'; status: number; body: T }
  | { kind: 'refused'; status: number; problem: ApiProblem }
  | { kind: 'sign_in' }
  | { kind: 'none'; why: string; isBusy?: true; wait_s?: number };

export type Fetcher = (input: string, init: RequestInit) => Promise<Response>;

export interface Call {
  method?: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE' | 'HEAD';
  body?: unknown;
  bytes?: { data: ArrayBuffer; media_type: string };
  /** The media type of a file that is asked for: its bytes are the body of a good answer. */
  file?: string;
  /** Milliseconds after which no answer is taken to be coming. */
  patience?: number;
}

const PATIENCE = 20_000;
/** How often a busy office is asked for a picture: a page shows more of them at once than it makes at once. */
const PICTURE_TRIES = 4;
/** Characters from which on a body is packed: below, the frame costs more than it saves. */
const WORTH_PACKING = 1_000;
let fetcher: Fetcher = (input, init) => fetch(input, init);

/** Put another fetch in its place; for tests. */
export function useFetcher(other: Fetcher): void {
  fetcher = other;
}

function isProblem(body: unknown): body is ApiProblem {
  return (
    typeof body === 'object' &&
    body !== null &&
    typeof (body as { code?: unknown }).code === 'string' &&
    typeof (body as { message?: unknown }).message === 'string'
  );
}

/** Pack a text with gzip; null where the browser cannot. */
async function pack(text: string): Promise<ArrayBuffer | null> {
  if (typeof CompressionStream === 'undefined') return null;
  return new Response(new Blob([text]).stream().pipeThrough(new CompressionStream('gzip'))).arrayBuffer();
}

/** Ask the office something. Never raises: whatever goes wrong on the way is `none`, with a reason. */
export async function ask<T>(path: string, call: Call = {}): Promise<Reply<T>> {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), call.patience ?? PATIENCE);
  try {
    const headers: Record<string, string> = { Accept: 'application/json' };
    let body: BodyInit | undefined;
    if (call.bytes) {
      headers['Content-Type'] = call.bytes.media_type;
      body = call.bytes.data;
    } else if (call.body !== undefined) {
      headers['Content-Type'] = 'application/json';
      const text = JSON.stringify(call.body);
      const packed = text.length < WORTH_PACKING ? null : await pack(text);
      if (packed) headers['Content-Encoding'] = 'gzip';
      body = packed ?? text;
    }
    const response = await fetcher(path, {
      method: call.method ?? 'GET',
      headers,
      credentials: 'same-origin',
      cache: 'no-store',
      redirect: 'error',
      signal: stop.signal,
      ...(body === undefined ? {} : { body }),
    });
    return await read<T>(response, call.file);
  } catch (fault) {
    if (stop.signal.aborted) return { kind: 'none', why: 'the time ran out' };
    // The browser's own words for no connection say nothing more; anything else is worth its words.
    const isNoConnection = fault instanceof TypeError || fault instanceof DOMException;
    return { kind: 'none', why: isNoConnection || !(fault instanceof Error) ? 'no connection' : fault.message };
  } finally {
    clearTimeout(timer);
  }
}

/** Seconds after which a busy office may be asked again, as it says. */
const waitOf = (response: Response): number => Number(response.headers.get('retry-after')) || 5;

/** The bytes of a picture at the office; null when they do not come, for whatever reason. An office that is busy is asked again. */
export async function askPicture(path: string): Promise<ArrayBuffer | null> {
  for (let tries = 1; ; tries += 1) {
    const found = await askPictureOnce(path);
    if (found === null || found instanceof ArrayBuffer) return found;
    if (tries === PICTURE_TRIES) return null;
    await new Promise((done) => setTimeout(done, found.wait_s * 1000));
  }
}

async function askPictureOnce(path: string): Promise<ArrayBuffer | { wait_s: number } | null> {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE);
  try {
    const response = await fetcher(path, {
      headers: { Accept: 'image/*' },
      credentials: 'same-origin',
      cache: 'no-store',
      redirect: 'error',
      signal: stop.signal,
    });
    if (response.status === 503) return { wait_s: waitOf(response) };
    return response.ok && response.headers.get('content-type')?.startsWith('image/')
      ? await response.arrayBuffer()
      : null;
  } catch {
    // Whether there is no signal or the way was cut off: a picture that is not there is said where it would be.
    return null;
  } finally {
    clearTimeout(timer);
  }
}

async function read<T>(response: Response, file?: string): Promise<Reply<T>> {
  if (response.status === 204) return { kind: 'ok', status: 204, body: undefined as T };
  const type = response.headers.get('content-type') ?? '';
  if (file && response.ok && type.startsWith(file))
    return { kind: 'ok', status: response.status, body: (await response.blob()) as T };
  // A page in between (a hotel's sign-in, a proxy's excuse) can carry any status: only our own JSON is an answer.
  if (!/^application\/(problem\+)?json\b/i.test(type)) {
    return {
      kind: 'none',
      why:
        response.status >= 500
          ? `the office is in trouble (${response.status})`
          : 'another page answered in its place. A Wi-Fi that asks you to sign in does that: sign in to it, or use mobile data',
    };
  }
  let body: unknown;
  try {
    body = await response.json();
  } catch {
    return { kind: 'none', why: `the answer broke off (${response.status})` };
  }
  if (response.ok) return { kind: 'ok', status: response.status, body: body as T };
  if (!isProblem(body)) return { kind: 'none', why: `the office is in trouble (${response.status})` };
  if (response.status === 401 && body.code !== 'wrong_sign_in') return { kind: 'sign_in' };
  if (response.status === 503 && body.code === 'office_busy')
    return { kind: 'none', why: 'it is busy just now', isBusy: true, wait_s: waitOf(response) };
  if (response.status >= 500) return { kind: 'none', why: `the office is in trouble (${response.status})` };
  return { kind: 'refused', status: response.status, problem: body };
}
