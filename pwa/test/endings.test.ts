import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { isWhole } from '../src/domain/endings.ts';

interface Case { name: string; media_type: string; whole: boolean; base64: string }
const cases = JSON.parse(readFileSync(new URL('../../tests/golden/pictures.json', import.meta.url), 'utf8')) as Case[];
const bytesOf = (item: Case): Uint8Array => Uint8Array.from(Buffer.from(item.base64, 'base64'));

describe('whether a picture goes on to its end', () => {
  test.each(cases)('$name', (item) => {
    expect(isWhole(bytesOf(item))).toBe(item.whole);
  });

  test('another kind says nothing', () => {
    expect(isWhole(new TextEncoder().encode('GIF89a'))).toBeNull();
    expect(isWhole(new Uint8Array())).toBeNull();
  });
});
