/** A small office in memory that keeps the contract of sync, and can be made to fail in every way a network fails. */
import { BOOK, type BookState } from '../src/domain/book.ts';
import type { Fetcher } from '../src/sync/api.ts';

interface Logged {
  id: string;
  kind: string;
  record: string;
  field: string;
  value: unknown;
  seen: number;
  revision: number;
  device: string;
  contested: boolean;
  resolves?: boolean;
  epoch?: string;
  replaces?: string[];
}

export type Fault =
  | 'none'
  | 'busy'
  | 'no_connection'
  | 'time_out_after_commit'
  | 'server_error'
  | 'html_500'
  | 'captive_portal'
  | 'captive_json'
  | 'sign_in'
  | 'cut_off'
  | 'half_the_results'
  | 'late'
  | 'proxy_413';

const json = (body: unknown, status = 200) =>
  new Response(JSON.stringify(body), { status, headers: { 'content-type': 'application/json' } });
/** A body as it was before it was packed for the way. */
async function unpacked(init: RequestInit): Promise<unknown> {
  if ((init.headers as Record<string, string>)['Content-Encoding'] !== 'gzip') return init.body;
  return new Response(
    new Blob([init.body as ArrayBuffer]).stream().pipeThrough(new DecompressionStream('gzip')),
  ).text();
}

const html = (status: number) =>
  new Response('<html>Welcome to the hotel</html>', { status, headers: { 'content-type': 'text/html' } });

export class FakeOffice {
  epoch = 'first';
  surveys = new Map<string, Logged[]>();
  photos = new Map<string, number>();
  /** Photos that ever came, still here or lost since. */
  came = new Set<string>();
  calls: string[] = [];
  /** Requests that are still on their way when the phone has given them up. */
  late: (() => void)[] = [];
  /** Ids of changes that a newer one took the place of before they came. */
  spent = new Set<string>();
  /** The epochs that batches said they knew. */
  epochs: (string | null)[] = [];
  /** What the office says of a photo's bytes, beyond doubt its own words; null while it takes them. */
  refusePhoto: (sha256: string) => { code: string; message: string } | null = () => null;
  /** Whether it counts the changes of its list, as offices did not always. */
  counts = true;
  reports = new Map<string, number>();
  /** What who asks is to the firm; null for an office from before there were books. */
  role: 'office' | 'surveyor' | null = null;
  private moved = 0;
  private places = new Map<string, { place: number; said: string }>();
  /** The models that batches named. */
  models: (string | null)[] = [];
  /** What an app that is too old for the office is told; null while none is. */
  tooOld: string | null = null;
  /** Decides what becomes of each request. */
  fault: (path: string, method: string) => Fault = () => 'none';
  refuse: (change: { field: string; value: unknown }) => string | null = () => null;

  get fetcher(): Fetcher {
    return async (path, init) => {
      const method = init.method ?? 'GET';
      this.calls.push(`${method} ${path}`);
      const fault = this.fault(path, method);
      if (fault === 'no_connection') throw new TypeError('Failed to fetch');
      if (fault === 'server_error') return json({ code: 'trouble', message: 'Something broke.' }, 500);
      if (fault === 'busy')
        return json({ code: 'office_busy', message: 'The office is busy.', field: null, record: null }, 503);
      if (fault === 'html_500') return html(502);
      if (fault === 'captive_portal') return html(200);
      if (fault === 'captive_json') return json({ welcome: true });
      if (fault === 'sign_in') return json({ code: 'sign_in_needed', message: 'Sign in.' }, 401);
      if (fault === 'proxy_413') return json({ code: 'too_large', message: 'Request entity too large' }, 413);
      const body = await unpacked(init);
      if (fault === 'late') {
        this.late.push(() => void this.answer(path, method, body));
        throw new TypeError('Failed to fetch');
      }
      const answer = this.answer(path, method, body);
      if (fault === 'time_out_after_commit') throw new DOMException('Aborted', 'AbortError');
      if (fault === 'cut_off')
        return new Response((await answer.text()).slice(0, -7), {
          status: 200,
          headers: { 'content-type': 'application/json' },
        });
      if (fault === 'half_the_results' && path.endsWith('/changes')) {
        const body = (await answer.json()) as { results: unknown[] };
        return json({ ...body, results: body.results.slice(0, Math.ceil(body.results.length / 2)) });
      }
      return answer;
    };
  }

  private answer(path: string, method: string, body: unknown): Response {
    if (path === '/api/health') return json({ status: 'ok', epoch: this.epoch });
    if (path.split('?')[0] === '/api/surveys') return this.list(new URLSearchParams(path.split('?')[1]).get('since'));
    const [, named, part] = /^\/api\/(?:surveys\/([^/?]+)|book)(?:\/([a-z]+))?/.exec(path) ?? [];
    const survey = path.startsWith('/api/book') ? BOOK : named;
    const log = this.surveys.get(survey!) ?? [];
    if (part === 'changes' && this.tooOld !== null)
      return json({ code: 'app_too_old', message: this.tooOld, field: 'model', record: null }, 409);
    if (method === 'POST' && part === 'changes')
      return this.take(
        survey!,
        JSON.parse(String(body)) as { device: string; model?: string; epoch?: string; changes: Logged[] },
      );
    if (method === 'PUT' && part === 'photos') {
      if (!this.surveys.has(survey!)) return json({ code: 'not_found', message: 'No such survey.' }, 404);
      const sha256 = path.split('/').pop()!;
      const problem = this.refusePhoto(sha256);
      if (problem) return json({ ...problem, field: 'sha256', record: `photo/${sha256}` }, 422);
      const isNew = !this.photos.has(sha256);
      this.photos.set(sha256, (body as ArrayBuffer).byteLength);
      this.came.add(sha256);
      return json(
        { sha256, media_type: 'image/jpeg', size_bytes: (body as ArrayBuffer).byteLength, width_px: 1, height_px: 1 },
        isNew ? 201 : 200,
      );
    }
    if (part === 'changes') {
      const query = new URLSearchParams(path.split('?')[1]);
      const since = Number(query.get('since'));
      const shown = log.filter((line) => line.revision > since && this.shows(survey!, line.field));
      const found = shown.slice(0, Math.min(Number(query.get('limit')), 7));
      const role = survey === BOOK ? { role: this.role } : {};
      return json({
        epoch: this.epoch,
        revision: log.length,
        more: found.length < shown.length,
        changes: found,
        ...role,
      });
    }
    if (part === 'assessment') return json({ revision: log.length, assessment: { rooms: [] }, gaps: [], pictures: {} });
    return json({ revision: log.length, contested: [], refused: [], photos: this.photosOf(log) });
  }

  /** A surveyor sees no cost prices. */
  private shows(survey: string, field: string): boolean {
    return survey !== BOOK || this.role === 'office' || field !== 'cost_price';
  }

  private photosOf(log: readonly Logged[]): { record: string; sha256: string; arrived: boolean; lost: boolean }[] {
    const hashes = new Map(
      log
        .filter((item) => item.kind === 'photo' && item.field === 'sha256')
        .map((item) => [item.record, String(item.value)]),
    );
    return [...hashes].map(([record, sha256]) => ({
      record,
      sha256,
      arrived: this.photos.has(sha256),
      lost: this.came.has(sha256) && !this.photos.has(sha256),
    }));
  }

  /** The list as far as it changed after a number, two lines at a time; all of it for a phone, or by an office, that does not count. */
  private list(asked: string | null): Response {
    const lines = [...this.surveys]
      .filter(([id]) => id !== BOOK)
      .map(([id, log]) => ({
        id,
        revision: log.length,
        title: id,
        contested: log.filter((item) => item.contested).length,
        photos_missing: this.photosOf(log).filter((photo) => !photo.arrived).length,
        latest_report: this.reports.get(id) ?? null,
        changed_at: null,
      }));
    if (asked === null || !this.counts) return json({ epoch: this.epoch, surveys: lines });
    for (const line of lines) {
      const said = JSON.stringify(line);
      if (this.places.get(line.id)?.said !== said) this.places.set(line.id, { place: (this.moved += 1), said });
    }
    const since = Number(asked) <= this.moved ? Number(asked) : 0;
    const place = (id: string): number => this.places.get(id)!.place;
    const news = lines.filter((line) => place(line.id) > since).sort((one, other) => place(one.id) - place(other.id));
    const page = news.slice(0, 2);
    const more = news.length > page.length;
    return json({
      epoch: this.epoch,
      surveys: page,
      since,
      cursor: more ? place(page.at(-1)!.id) : this.moved,
      more,
      count: lines.length,
      ...(this.role === null ? {} : { book: this.bookState(this.role) }),
    });
  }

  private bookState(role: string): BookState {
    const log = this.surveys.get(BOOK) ?? [];
    return {
      revision: log.length,
      leant_on: log.findLast((line) => line.kind === 'unit')?.revision ?? 0,
      contested: 0,
      role,
    };
  }

  /** Let what was under way arrive now; nobody hears the answers. */
  arrive(): void {
    for (const request of this.late.splice(0)) request();
  }

  private take(survey: string, body: { device: string; model?: string; epoch?: string; changes: Logged[] }): Response {
    this.epochs.push(body.epoch ?? null);
    this.models.push(body.model ?? null);
    if (body.epoch !== undefined && body.epoch !== this.epoch)
      return json({ epoch: this.epoch, revision: 0, results: [] });
    const log = this.surveys.get(survey) ?? [];
    const results = body.changes.map((change) => {
      if (this.spent.has(change.id))
        return {
          id: change.id,
          status: 'refused',
          revision: null,
          contested: false,
          problem: { code: 'replaced', message: 'Said anew since.', field: change.field, record: null },
        };
      const known = [...this.surveys.values()].flat().find((item) => item.id === change.id);
      if (known) {
        const isSame = JSON.stringify(known.value) === JSON.stringify(change.value) && known.field === change.field;
        return isSame
          ? { id: change.id, status: 'accepted', revision: known.revision, contested: known.contested, problem: null }
          : {
              id: change.id,
              status: 'refused',
              revision: null,
              contested: false,
              problem: { code: 'id_used_twice', message: 'Used twice.', field: change.field, record: null },
            };
      }
      const everLogged = new Set([...this.surveys.values()].flat().map((item) => item.id));
      for (const id of change.replaces ?? []) if (!everLogged.has(id)) this.spent.add(id);
      const why = survey === BOOK && this.role !== 'office' ? 'Only the office changes this.' : this.refuse(change);
      if (why)
        return {
          id: change.id,
          status: 'refused',
          revision: null,
          contested: false,
          problem: { code: 'no', message: why, field: change.field, record: null },
        };
      const before = log.filter((item) => item.record === change.record && item.field === change.field).at(-1);
      const contested =
        !change.resolves && before !== undefined && before.revision > change.seen && before.device !== body.device;
      log.push({ ...change, device: body.device, revision: log.length + 1, contested });
      return { id: change.id, status: 'accepted', revision: log.length, contested, problem: null };
    });
    if (log.length > 0) this.surveys.set(survey, log);
    return json({ epoch: this.epoch, revision: log.length, results });
  }

  /** Another device's change, made at the office's present state. */
  change(survey: string, record: string, field: string, value: unknown, kind = 'room'): void {
    const log = this.surveys.get(survey) ?? [];
    log.push({
      id: `other-${log.length}`,
      kind,
      record,
      field,
      value,
      seen: log.length,
      revision: log.length + 1,
      device: 'other',
      contested: false,
    });
    this.surveys.set(survey, log);
  }

  /** What stands at the office: record/field → value. */
  state(survey: string): Record<string, unknown> {
    const state: Record<string, unknown> = {};
    for (const item of this.surveys.get(survey) ?? []) {
      if (item.value === null) delete state[`${item.record}/${item.field}`];
      else state[`${item.record}/${item.field}`] = item.value;
    }
    return state;
  }

  /** Go back to a copy: the changes after `revision` are gone, and the epoch says so. */
  restore(survey: string, revision: number, epoch: string): void {
    this.surveys.set(survey, (this.surveys.get(survey) ?? []).slice(0, revision));
    if (revision === 0) this.surveys.delete(survey);
    this.photos.clear();
    this.came.clear();
    this.spent.clear();
    this.epoch = epoch;
  }
}
