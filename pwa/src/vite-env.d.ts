interface ImportMeta {
  readonly env: { readonly PROD: boolean; readonly DEV: boolean };
  /** Vite reads the files at build time; tests use it to look at the sources themselves. */
  glob<T>(pattern: string, options: { eager: true; query?: string; import?: string }): Record<string, T>;
}
declare module '*.css';
