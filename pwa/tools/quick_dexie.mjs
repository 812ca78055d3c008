/**
 * A step of the build: the database library starts without asking the browser for a hash.
 *
 * It asks for one at its start only to learn what the browser's own promises are made of, where some other library has put its own in
 * their place. No other library does here, and the question costs as much as a fifth of a start; where a page has no hashes to ask
 * for, the library goes the other way by itself, and so it does here.
 */
const LIBRARY = /\/dexie\/dist\/modern\/dexie\.mjs$/;
const ASKS =
  /if \(typeof crypto === 'undefined' \|\| !crypto\.subtle\)(\s+return \[globalP, getProto\(globalP\), globalP\];)/;

export function quickDexie() {
  return {
    name: 'quick-dexie',
    apply: 'build',
    transform: {
      filter: { id: LIBRARY },
      handler(code) {
        if (!ASKS.test(code)) throw new Error('The database library starts another way than it did: look at it anew.');
        return { code: code.replace(ASKS, '$1'), map: null };
      },
    },
  };
}
