/** The open survey and its figures: what is asked, and which answer stands after an edit. */
import 'fake-indexeddb/auto';
import { signal } from '@preact/signals';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { Survey } from '../src/domain/survey.ts';
import type { FromWorker, ToWorker } from '../src/engine/messages.ts';
import type { OpenSurvey } from '../src/store/live.ts';

let asked: { id: number; length: number }[];
let worker: { onmessage: ((event: { data: FromWorker }) => void) | null };

class FakeWorker {
  onmessage: ((event: { data: FromWorker }) => void) | null = null;
  onerror = null;
  constructor() {
    worker = this;
  }
  postMessage({ id, request }: ToWorker): void {
    const records = (JSON.parse(request) as { records: { values: { length_m: number } }[] }).records;
    asked.push({ id, length: records[0]!.values.length_m });
  }
  terminate(): void {}
}

const say = (data: FromWorker) => worker.onmessage?.({ data });
const figures = ({ id, length }: { id: number; length: number }) =>
  say({ type: 'figures', id, text: JSON.stringify({ assessment: { engine: 'e', length } }), worked_ms: 1 });
const rest = ({ id, length }: { id: number; length: number }) =>
  say({
    type: 'rest',
    id,
    text: JSON.stringify({ gaps: [], pictures: { room_losses: `drawn at ${length}` }, pictures_dark: {} }),
    worked_ms: 1,
  });

/** The survey after so many edits: a room of this length, and photos. */
function survey(edits: number, length: number, photos = 0): OpenSurvey {
  const row = (kind: string, id: string, values: Record<string, number>) => ({
    key: `s/${kind}/${id}`,
    survey: 's',
    kind,
    id,
    values,
    seen: {},
  });
  const rows = [
    row('room', 'r', { length_m: length }),
    ...Array.from({ length: photos }, (_, place) => row('photo', `p${place}`, {})),
  ];
  return {
    row: { id: 's', edits, cursor: 0 },
    survey: new Survey('s', rows),
    book: '',
    gaps: [],
    assessment: null,
    changedSince: false,
  } as unknown as OpenSurvey;
}

const tick = () => vi.advanceTimersByTime(100);

async function following(first: OpenSurvey) {
  const engine = await import('../src/engine/live.ts');
  engine.startEngine(signal(true), (work) => work());
  vi.advanceTimersByTime(5_000);
  say({ type: 'ready', from: 'nothing' });
  const opened = signal<OpenSurvey>(first);
  const end = engine.follow(opened);
  tick();
  const shown = () => {
    const { assessment } = engine.withLive(opened.peek());
    return [
      (assessment?.assessment as unknown as { length: number } | undefined)?.length,
      assessment?.pictures.room_losses,
    ];
  };
  return { engine, opened, shown, end };
}

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
  vi.stubGlobal('Worker', FakeWorker);
  vi.stubGlobal('addEventListener', () => undefined);
  vi.stubGlobal('document', { addEventListener: () => undefined });
  vi.resetModules();
  asked = [];
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

test('what was tried and is then saved is drawn too, however soon it was saved', async () => {
  const { engine, opened, shown, end } = await following(survey(1, 4));
  figures(asked[0]!);
  rest(asked[0]!);
  expect(shown()).toEqual([4, 'drawn at 4']);
  engine.tryOut(opened.peek(), [{ kind: 'room', id: 'r', values: { length_m: 5 } }]);
  tick();
  figures(asked[1]!);
  // Saved before the drawings of what was tried have come.
  opened.value = survey(2, 5);
  tick();
  expect(asked.map((item) => item.length)).toEqual([4, 5, 5]);
  rest(asked[1]!);
  figures(asked[2]!);
  rest(asked[2]!);
  expect(shown()).toEqual([5, 'drawn at 5']);
  end();
});

test("at a cold start the office's drawings and plans stand until the phone's own are there", async () => {
  const first = survey(1, 4);
  const office = { assessment: { engine: 'e', length: 3 }, gaps: [], by: 'office', at: 0 };
  const plans = { storeys: [{ storey: 'ground' }], findings: [] };
  const pictures = { room_losses: 'drawn at the office', plans: { ground: 'its plan' } };
  Object.assign(first, { assessment: { ...office, plans, pictures, pictures_dark: pictures } });
  const { engine, opened, shown, end } = await following(first);
  const plan = () => engine.withLive(opened.peek()).assessment;
  figures(asked[0]!);
  expect(shown()).toEqual([4, 'drawn at the office']);
  expect(plan()?.plans).toEqual(plans);
  rest(asked[0]!);
  expect(shown()).toEqual([4, 'drawn at 4']);
  expect([plan()?.plans, plan()?.pictures.plans]).toEqual([plans, { ground: 'its plan' }]);
  say({ type: 'plans', id: asked[0]!.id, text: '', worked_ms: 1 });
  expect(plan()?.plans).toBeNull();
  end();
});

test('a change that is taken back is worked out again: the figures are those of the survey as it is', async () => {
  const { opened, shown, end } = await following(survey(1, 4));
  figures(asked[0]!);
  rest(asked[0]!);
  opened.value = survey(2, 5);
  tick();
  figures(asked[1]!);
  opened.value = survey(3, 4);
  tick();
  expect(asked.map((item) => item.length)).toEqual([4, 5, 4]);
  figures(asked[2]!);
  rest(asked[2]!);
  expect(shown()).toEqual([4, 'drawn at 4']);
  end();
});

test('photos ask nothing, and the answer holds on', async () => {
  const { opened, shown, end } = await following(survey(1, 4));
  figures(asked[0]!);
  rest(asked[0]!);
  opened.value = survey(2, 4, 1);
  tick();
  opened.value = survey(3, 4, 2);
  tick();
  expect(asked).toHaveLength(1);
  expect(shown()).toEqual([4, 'drawn at 4']);
  end();
});

test('an answer to what is typed is never taken for one of what is stored, nor kept for the next start', async () => {
  const kept: unknown[] = [];
  vi.doMock('../src/store/answers.ts', () => ({
    readLive: async () => null,
    keepLive: async (row: unknown) => void kept.push(row),
  }));
  const { engine, opened, end } = await following(survey(1, 4));
  const isCurrent = () => engine.withLive(opened.peek()).isCurrent;
  figures(asked[0]!);
  rest(asked[0]!);
  expect(isCurrent()).toBe(true);
  engine.tryOut(opened.peek(), [{ kind: 'room', id: 'r', values: { length_m: 5 } }]);
  tick();
  figures(asked[1]!);
  rest(asked[1]!);
  expect(isCurrent()).toBe(false);
  vi.advanceTimersByTime(5_000);
  expect(kept).toEqual([]);
  engine.tryOut(opened.peek(), null);
  tick();
  figures(asked[2]!);
  rest(asked[2]!);
  expect(isCurrent()).toBe(true);
  vi.advanceTimersByTime(5_000);
  expect(kept).toHaveLength(1);
  end();
  vi.doUnmock('../src/store/answers.ts');
});
