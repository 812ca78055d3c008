import type { Plugin } from 'vite';

export function startScripts(): Plugin;
export function chunkOfTheStart(
  id: string,
  graph: { getModuleInfo(id: string): { importedIds: readonly string[] } | null },
): string | null;
