import { describe, expect, test } from 'vitest';
import cases from '../../tests/golden/pictures.json';
import { isWhole } from '../src/domain/endings.ts';

const bytesOf = (base64: string): Uint8Array => Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));

describe('whether a picture goes on to its end', () => {
  test.each(cases)('$name', (item) => {
    expect(isWhole(bytesOf(item.base64))).toBe(item.whole);
  });

  test('another kind says nothing', () => {
    expect(isWhole(new TextEncoder().encode('GIF89a'))).toBeNull();
    expect(isWhole(new Uint8Array())).toBeNull();
  });
});
