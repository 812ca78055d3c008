import type { Plugin } from 'vite';

export function modelFile(): Plugin;
