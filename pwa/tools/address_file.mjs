/** A step of the build: the app's own addresses go out as a file, so that the office knows which pages there are. */
export function addressFile(addresses) {
  return {
    name: 'address-file',
    apply: 'build',
    generateBundle() {
      this.emitFile({ type: 'asset', fileName: 'addresses.json', source: JSON.stringify(addresses) });
    },
  };
}
