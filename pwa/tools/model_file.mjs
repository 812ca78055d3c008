/**
 * A step of the build: the survey model is data, a quarter of what the first screen reads, so it goes out as a file of its own.
 *
 * The page asks for it at once, beside the scripts; the script that needs it waits for it there.
 */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';

const MODEL = /\/src\/generated\/model\.json$/;

export function modelFile() {
  let name = '';
  return {
    name: 'model-file',
    apply: 'build',
    enforce: 'pre',
    load: {
      order: 'pre',
      handler(id) {
        if (!MODEL.test(id)) return null;
        const model = JSON.stringify(JSON.parse(readFileSync(id, 'utf8')));
        name = `assets/model-${createHash('sha256').update(model).digest('hex').slice(0, 12)}.json`;
        this.emitFile({ type: 'asset', fileName: name, source: model });
        return { code: `export default await (await fetch('/${name}')).json();`, moduleType: 'js' };
      },
    },
    transformIndexHtml: {
      order: 'post',
      handler() {
        if (!name) throw new Error('The survey model was not taken into the app.');
        return [
          {
            tag: 'link',
            attrs: { rel: 'preload', as: 'fetch', crossorigin: 'anonymous', href: `/${name}` },
            injectTo: 'head-prepend',
          },
        ];
      },
    },
  };
}
