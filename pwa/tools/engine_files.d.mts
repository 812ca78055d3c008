import type { Plugin } from 'vite';

export function engineFiles(): Plugin;
