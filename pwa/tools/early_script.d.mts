import type { Plugin } from 'vite';

export function earlyScript(): Plugin;
