interface ImportMeta {
  readonly env: { readonly PROD: boolean; readonly DEV: boolean };
}
declare module '*.css';
