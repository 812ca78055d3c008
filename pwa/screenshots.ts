/** What a browser shows to whoever installs the app: made of the demo house by `python -m tests.browser.screenshots`. */
const narrow = (name: string, label: string) =>
  ({ src: `screenshots/${name}.png`, sizes: '390x844', type: 'image/png', form_factor: 'narrow', label }) as const;

export const SCREENSHOTS: {
  src: string;
  sizes: string;
  type: string;
  form_factor: 'narrow' | 'wide';
  label: string;
}[] = [
  narrow('walk', 'A survey is a walk: each stage says what it still lacks'),
  narrow('room', 'A room is a box: tap a side and say what is beyond it'),
  narrow('base', 'A base is read point by point, and says how it falls'),
  {
    src: 'screenshots/office.png',
    sizes: '1280x800',
    type: 'image/png',
    form_factor: 'wide',
    label: 'At the office: what the house loses and what its emitters give',
  },
];
