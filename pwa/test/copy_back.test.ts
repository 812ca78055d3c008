import 'fake-indexeddb/auto';
import { beforeEach, expect, test } from 'vitest';
import { surveyDocument } from '../src/store/copy.ts';
import { NotACopy, parseCopy, readCopyBack } from '../src/store/copy_back.ts';
import { database } from '../src/store/database.ts';
import { savePicture } from '../src/store/photos.ts';
import { newRecord, saveEdits, startSurvey } from '../src/store/surveys.ts';

const wipe = async () => {
  for (const table of database.tables) await table.clear();
};
beforeEach(wipe);

/** A survey with two rooms and a photo, as the text of its file. */
async function aCopy(): Promise<{ survey: string; text: string }> {
  const survey = await startSurvey({ household_name: 'Thimble' });
  await saveEdits(survey, [
    { kind: 'room', id: 'r1', values: { name: 'Kitchen', length_m: 4 } },
    newRecord(survey, 'room', {}),
  ]);
  await savePicture(
    survey,
    { bytes: new Uint8Array([1, 2, 3]).buffer, media_type: 'image/jpeg', width_px: 2, height_px: 1 },
    {},
  );
  return { survey, text: await (await surveyDocument(survey)).text() };
}

const state = async () => [
  (await database.records.toArray()).map(({ key, values }) => [key, values]).sort(),
  (await database.photos.toArray()).map(({ key, arrived }) => [key, arrived]),
];

test('a copy read back into an emptied phone brings everything back, once', async () => {
  const { survey, text } = await aCopy();
  const before = await state();
  await wipe();
  const heard: [number, number][] = [];
  const found = await readCopyBack(parseCopy(text), (done, all) => heard.push([done, all]));
  expect(heard).toEqual([[1, 1]]);
  expect(await state()).toEqual(before);
  expect(found).toMatchObject({ survey, photos: 1, differ: 0, unknown: 0, spoilt: 0 });
  expect(await database.outbox.count()).toBe(found.answers);
  const waiting = await database.outbox.toArray();
  expect(await readCopyBack(parseCopy(text))).toMatchObject({ answers: 0, photos: 0, differ: 0 });
  expect(await database.outbox.toArray()).toEqual(waiting);
  expect(await state()).toEqual(before);
});

test('what is another way on the phone, or was taken away there, stays so', async () => {
  const { survey, text } = await aCopy();
  await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { length_m: 5, width_m: 3 } }]);
  const [other] = (await database.records.toArray()).filter((record) => record.kind === 'room' && record.id !== 'r1');
  await saveEdits(survey, [{ kind: 'room', id: other!.id, values: { deleted: true } }]);
  const before = await state();
  expect(await readCopyBack(parseCopy(text))).toMatchObject({ answers: 0, differ: 1 });
  expect(await state()).toEqual(before);
});

test('answers that this version does not know and damaged photos are left out and told', async () => {
  const { text } = await aCopy();
  await wipe();
  const copy = JSON.parse(text) as {
    records: Record<string, Record<string, unknown>[]>;
    photos: Record<string, { base64: string }>;
  };
  copy.records['room']![0]!['moon_phase'] = 'full';
  copy.records['moon'] = [{ id: 'm', phase: 1 }];
  for (const photo of Object.values(copy.photos)) photo.base64 = 'AQID!';
  expect(await readCopyBack(parseCopy(JSON.stringify(copy)))).toMatchObject({ unknown: 2, spoilt: 1, photos: 0 });
  expect((await database.records.toArray()).map((record) => record.kind)).not.toContain('moon');
});

test.each([
  ['half written', (text: string) => text.slice(0, text.length / 2), /damaged, or only half/],
  ['not ours', () => '{"rooms": []}', /not a copy of a survey/],
  ['a list', () => '[]', /not a copy of a survey/],
  ['a picture', () => '\u0089PNG', /damaged/],
  [
    'of a newer version',
    (text: string) => text.replace('"version": 3', '"version": 4'),
    /of version 4, and this app reads versions 1, 2 and 3/,
  ],
  ['without its records', (text: string) => text.replace('"records"', '"recrods"'), /missing or damaged/],
])('a file that is %s is refused in words and changes nothing', async (_name, spoil, words) => {
  const { text } = await aCopy();
  const before = [await state(), await database.outbox.toArray()];
  expect(() => parseCopy(spoil(text))).toThrow(NotACopy);
  expect(() => parseCopy(spoil(text))).toThrow(words);
  expect([await state(), await database.outbox.toArray()]).toEqual(before);
});
