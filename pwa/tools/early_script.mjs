/** A step of the build: the script that reads the store ahead goes into the page by itself, to run before the app's own have come. */
const SOURCE = 'src/store/early.ts';

export function earlyScript() {
  let reference = '';
  return {
    name: 'early-script',
    apply: 'build',
    buildStart() {
      reference = this.emitFile({ type: 'chunk', id: SOURCE, name: 'early' });
    },
    transformIndexHtml: {
      order: 'post',
      handler(_page, { bundle }) {
        const made = Object.values(bundle).find(
          (item) => item.type === 'chunk' && item.facadeModuleId?.endsWith(SOURCE),
        );
        if (!made || made.imports.length > 0)
          throw new Error(`${reference}: ${SOURCE} has to be a script without imports`);
        return [
          { tag: 'script', attrs: { type: 'module', async: true, src: `/${made.fileName}` }, injectTo: 'head-prepend' },
        ];
      },
    },
  };
}
