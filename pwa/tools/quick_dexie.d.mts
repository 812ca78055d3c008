import type { Plugin } from 'vite';

export function quickDexie(): Plugin;
