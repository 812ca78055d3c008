import preact from '@preact/preset-vite';
import { VitePWA } from 'vite-plugin-pwa';
import { defineConfig } from 'vite';
import { SCREENSHOTS } from './screenshots.ts';
import { SHARED, SHARED_FIELD } from './src/domain/shared.ts';
import { ADDRESSES, START } from './src/ui/addresses.ts';
import { addressFile } from './tools/address_file.mjs';
import { engineFiles } from './tools/engine_files.mjs';
import { quickDexie } from './tools/quick_dexie.mjs';
import { chunkOfTheStart, startScripts } from './tools/start_scripts.mjs';

// The office serves what this builds: hashed files under assets/, one page, one service worker.
export default defineConfig({
  plugins: [
    preact({ devToolsEnabled: false, prefreshEnabled: false }),
    engineFiles(),
    quickDexie(),
    startScripts(),
    addressFile(ADDRESSES),
    VitePWA({
      strategies: 'injectManifest',
      srcDir: 'src',
      filename: 'sw.ts',
      registerType: 'prompt',
      // The app registers the worker itself, so that nothing but a person's word brings a new version in.
      injectRegister: false,
      injectManifest: {
        // The pictures for whoever installs are the office's alone.
        globIgnores: ['addresses.json', 'screenshots/**'],
        globPatterns: ['**/*.{html,js,json,css,svg,png,webmanifest}', 'engine/*.bin', 'python-*/*'],
        // Their names hold a hash: a new version of the app fetches only those that have changed.
        dontCacheBustURLsMatching: /^(assets|engine|python-\w+)\//,
        maximumFileSizeToCacheInBytes: 16 * 1024 * 1024,
      },
      manifest: {
        id: '/',
        name: 'Wattwalk',
        short_name: 'Wattwalk',
        description: 'Survey a house for a heat pump, with or without signal.',
        start_url: START,
        scope: '/',
        display: 'standalone',
        lang: 'en-GB',
        background_color: '#f6f1e6',
        theme_color: '#f6f1e6',
        icons: [
          { src: 'icons/icon-192.png', sizes: '192x192', type: 'image/png' },
          { src: 'icons/icon-512.png', sizes: '512x512', type: 'image/png' },
          { src: 'icons/icon-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
          { src: 'icons/icon.svg', sizes: 'any', type: 'image/svg+xml' },
        ],
        shortcuts: [
          { name: 'New survey', url: `${START}#/new`, icons: [{ src: 'icons/icon-192.png', sizes: '192x192' }] },
          { name: 'The last survey', url: `${START}#/last`, icons: [{ src: 'icons/icon-192.png', sizes: '192x192' }] },
        ],
        // Pictures from the gallery or a message: the service worker keeps them, with or without signal.
        share_target: {
          action: SHARED,
          method: 'POST',
          enctype: 'multipart/form-data',
          params: { files: [{ name: SHARED_FIELD, accept: ['image/*'] }] },
        },
        screenshots: SCREENSHOTS,
      },
    }),
  ],
  // The library's build for browsers of today, without what older ones lack.
  resolve: { alias: [{ find: /^dexie$/, replacement: 'dexie/dist/modern/dexie.mjs' }] },
  worker: { format: 'es' },
  build: {
    target: 'es2022',
    modulePreload: { polyfill: false },
    cssCodeSplit: false,
    assetsInlineLimit: 0,
    reportCompressedSize: false,
    // What the first screens share comes as one file, and screens that are met one after the other as another: many small ones pack worse.
    rolldownOptions: {
      output: {
        codeSplitting: {
          includeDependenciesRecursively: false,
          groups: [
            { name: chunkOfTheStart, debugName: 'start' },
            {
              name: 'measuring',
              test: /src\/(screens\/building\/(Rooms|SidePanel|UsePicker|Constructions)|domain\/entry)\./,
            },
            // What the rooms and the results lean on must not lie among the office's pages, which are five times as large.
            { name: 'results', test: /src\/(screens\/results\/(?!Plant|Balance)|domain\/plant)/ },
            { name: 'walk', test: /src\/(screens\/(outside|routes)|domain\/(siting|runs|levels))/ },
            {
              name: 'office',
              test: /src\/(screens\/(office|results\/(Plant|Balance))|domain\/office|sync\/office)/,
            },
            { name: 'exchange', test: /src\/(sync|store\/(exchange|session))/ },
          ],
        },
      },
    },
  },
  test: { include: ['test/**/*.test.ts'], environment: 'node' },
} as Parameters<typeof defineConfig>[0]);
