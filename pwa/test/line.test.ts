import { expect, test } from 'vitest';
import { draftOf } from '../src/forms/drafts.ts';
import { NOT_TAKEN } from '../src/forms/saving.tsx';
import { Line, type LineUse } from '../src/forms/line.ts';

/** A storage that answers when it is told to. */
function held() {
  const saved: string[] = [];
  const answers: ((done: boolean) => void)[] = [];
  const use: LineUse<string> = {
    path: 'survey/room/kitchen/name',
    read: (text) =>
      text.trim() === ''
        ? null
        : text.includes('?')
          ? { ok: false, why: 'Not a name.' }
          : { ok: true, value: text.trim() },
    save: (value) =>
      new Promise((done) => {
        saved.push(value);
        answers.push(done);
      }),
  };
  return { saved, answers, line: new Line(use, () => undefined) };
}

const settle = () => new Promise((done) => setTimeout(done, 0));

test('what is typed while the answer before is being stored stays on the screen and is stored next', async () => {
  const { saved, answers, line } = held();
  line.type('Kit');
  const first = line.leave();
  line.type('Kitchen');
  void line.leave();
  answers[0]!(true);
  await settle();
  expect(line.text).toBe('Kitchen');
  expect(saved).toEqual(['Kit', 'Kitchen']);
  answers[1]!(true);
  await first;
  expect(line.text).toBeNull();
});

test('who comes back while a line is being stored finds its draft, and does not store it a second time', async () => {
  for (const [isTaken, stores] of [
    [true, ['5']],
    [false, ['5', '5']],
  ] as const) {
    const { saved, answers, line } = held();
    line.type('5');
    const first = line.leave();
    const again = new Line(line.use, () => undefined);
    expect(again.text).toBe('5');
    const second = Promise.all([again.leave(), again.leave()]);
    answers[0]!(isTaken);
    await first;
    await settle();
    // What was not taken is theirs to store, once.
    expect(saved).toEqual(stores);
    answers[1]?.(true);
    await second;
    expect([again.text, draftOf(line.use.path)]).toEqual([null, undefined]);
    // Nor when it leaves later, as a screen does.
    await again.leave();
    expect(saved).toEqual(stores);
  }
});

test('a write that fails without an answer keeps nobody waiting: the draft is stored by whoever comes back', async () => {
  const { saved, answers, line } = held();
  const { save } = line.use;
  line.use.save = () => Promise.reject(new Error('gone'));
  line.type('5');
  await expect(line.leave()).rejects.toThrow('gone');
  line.use.save = save;
  const again = new Line(line.use, () => undefined);
  const left = again.leave();
  await settle();
  expect(saved).toEqual(['5']);
  answers[0]!(true);
  await left;
  expect(draftOf(line.use.path)).toBeUndefined();
});

test('a draft that is stored elsewhere leaves the line; what was typed here does not', async () => {
  const { answers, line } = held();
  line.type('5');
  const first = line.leave();
  const idle = new Line(line.use, () => undefined);
  const typed = new Line(line.use, () => undefined);
  typed.type('57');
  answers[0]!(true);
  await first;
  idle.hearOfDrafts();
  typed.hearOfDrafts();
  expect([idle.text, typed.text]).toEqual([null, '57']);
});

test('typed on and not left yet, the newer text is neither wiped nor stored by itself', async () => {
  const { saved, answers, line } = held();
  line.type('Kit');
  const first = line.leave();
  line.type('Kitch');
  answers[0]!(true);
  await first;
  expect(line.text).toBe('Kitch');
  expect(saved).toEqual(['Kit']);
});

test('the text that was typed last is the one that is stored, however soon the line is left', async () => {
  const { saved, answers, line } = held();
  line.type('a');
  line.type('b');
  const left = line.leave();
  void line.leave();
  answers[0]!(true);
  await left;
  expect(saved).toEqual(['b']);
  expect(line.text).toBeNull();
});

test('a write that failed leaves the text, and leaving again tries again', async () => {
  const { saved, answers, line } = held();
  line.type('Larder');
  const left = line.leave();
  answers[0]!(false);
  await left;
  expect([line.text, line.problem]).toEqual(['Larder', NOT_TAKEN]);
  const again = line.leave();
  answers[1]!(true);
  await again;
  expect(saved).toEqual(['Larder', 'Larder']);
  expect([line.text, line.problem]).toEqual([null, null]);
});

test('what cannot be read is not stored, says why, and is still there when the screen comes back', async () => {
  const { saved, line } = held();
  line.type('what?');
  await line.leave();
  expect([line.problem, line.text, saved]).toEqual(['Not a name.', 'what?', []]);
  const later = new Line(line.use, () => undefined);
  expect([later.text, later.problem]).toEqual(['what?', 'Not a name.']);
  later.type(' ');
  await later.leave();
  expect([later.problem, later.text, draftOf(line.use.path)]).toEqual([null, null, undefined]);
});

test('what was said of a text goes as soon as another one can be read, and stays while none can', async () => {
  const { saved, line } = held();
  line.type('what?');
  await line.leave();
  line.type('what?!?');
  expect(line.problem).toBe('Not a name.');
  line.type('Larder');
  expect([line.problem, line.text, saved]).toEqual([null, 'Larder', []]);
  line.drop();
});

test('what was stored stands in the line until the screen has heard of it', async () => {
  const { answers, line } = held();
  line.use = { ...line.use, show: (value) => value };
  expect(line.shown('Larder')).toBe('Larder');
  line.type('Kitchen ');
  const left = line.leave();
  answers[0]!(true);
  await left;
  // The screen still holds the answer before, as often as it is drawn.
  expect(line.shown('Larder')).toBe('Kitchen');
  expect(line.shown('Larder')).toBe('Kitchen');
  expect(line.shown('Kitchen')).toBe('Kitchen');
  // Heard of once, the line follows what is stored, back to the older answer too.
  expect(line.shown('Larder')).toBe('Larder');
});

test('what the screen heard while it was being stored is not taken back', async () => {
  const { answers, line } = held();
  line.use = { ...line.use, show: (value) => value };
  line.shown('Larder');
  line.type('Kitchen');
  const left = line.leave();
  expect(line.shown('Scullery')).toBe('Kitchen');
  answers[0]!(true);
  await left;
  expect(line.shown('Scullery')).toBe('Scullery');
});

test('an answer that is stored already, or that belongs to another field, keeps nothing on the screen', async () => {
  const { answers, line } = held();
  line.use = { ...line.use, show: (value) => value };
  line.shown('Kitchen');
  line.type('Kitchen ');
  const same = line.leave();
  answers[0]!(true);
  await same;
  expect(line.shown('Kitchen')).toBe('Kitchen');
  line.type('Larder');
  const left = line.leave();
  answers[1]!(true);
  await left;
  line.use = { ...line.use, path: 'survey/room/bathroom/name' };
  expect(line.shown('Kitchen')).toBe('Kitchen');
});
