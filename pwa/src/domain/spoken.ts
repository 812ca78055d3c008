/** What a voice or a soft keyboard writes for a number, put the way it is typed: `four point two by three point nine` becomes `4.2 by 3.9`. */

const UNITS =
  'zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen'.split(
    ' ',
  );
const TENS = 'twenty thirty forty fifty sixty seventy eighty ninety'.split(' ');

const VALUES = new Map<string, number>([
  ...UNITS.map((word, value): [string, number] => [word, value]),
  ...TENS.map((word, place): [string, number] => [word, 20 + 10 * place]),
  ['oh', 0],
  ['nought', 0],
]);

const WORD = new RegExp(String.raw`\b(?:${[...VALUES.keys()].join('|')})\b`, 'g');

/** Put marks of feet and inches, fractions and spoken numbers the way they are typed; anything else stays as it is. */
export function asWritten(text: string): string {
  const plain = text
    .trim()
    .replace(/[’‘′´`]/g, "'")
    .replace(/[“”″]|''/g, '"')
    .replace(/\s*([½¼¾])/g, (_all, part: string) => ` ${{ '½': '1/2', '¼': '1/4', '¾': '3/4' }[part]}`)
    .replace(/([^.])\.$/, '$1');
  if (!/[a-z]{3}|oh/i.test(plain)) return plain;
  return plain
    .toLowerCase()
    .replace(/-(?=[a-z])/g, ' ')
    .replace(WORD, (word) => String(VALUES.get(word)))
    .replace(/\b([2-9]0) ([1-9])\b(?! point)/g, (_all, tens: string, unit: string) =>
      String(Number(tens) + Number(unit)),
    )
    .replace(/\b([1-9]) hundred(?: and)?(?: (\d{1,2})\b)?/g, (_all, hundreds: string, rest?: string) =>
      String(Number(hundreds) * 100 + Number(rest ?? 0)),
    )
    .replace(
      /(?:\b(\d+) )?\bpoint((?: \d+\b(?! point))+)/g,
      (_all, whole: string | undefined, part: string) => `${whole ?? '0'}.${part.replaceAll(' ', '')}`,
    )
    .replace(/\band a half\b/g, '1/2')
    .replace(/\b(\d+) 1\/2\b(?=$| by| x| metres?\b| m\b)/g, '$1.5');
}
