import type { Plugin } from 'vite';
export function addressFile(addresses: readonly string[]): Plugin;
