import type { ComponentChildren } from 'preact';

/** A table that turns into cards where the screen is narrow. The roles stay said, since the display of a table's parts is changed. */
export function Table({
  label,
  head,
  children,
}: {
  label: string;
  head: ComponentChildren;
  children: ComponentChildren;
}) {
  return (
    <table class="cards" role="table" aria-label={label}>
      <thead role="rowgroup">{head}</thead>
      <tbody role="rowgroup">{children}</tbody>
    </table>
  );
}

export function Head({ words, isNumber }: { words: string; isNumber?: boolean }) {
  return (
    <th role="columnheader" scope="col" class={isNumber ? 'number' : undefined}>
      {words}
    </th>
  );
}

export function Cell({
  label,
  isNumber,
  children,
  class: name,
}: {
  label: string;
  isNumber?: boolean;
  children?: ComponentChildren;
  class?: string;
}) {
  return (
    <td
      role="cell"
      data-label={label}
      class={[isNumber ? 'number' : '', name ?? ''].filter(Boolean).join(' ') || undefined}
    >
      {children}
    </td>
  );
}
