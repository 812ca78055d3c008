/** Enter moves on: from a field that was answered to the one after it, without a tap between them. */

const CONTROLS = 'input:not([type="file"]), select, textarea';

/** The fields that are there to be answered, in their order: those of a folded group are not. */
export const fieldsInView = (): HTMLElement[] =>
  [...document.querySelectorAll<HTMLElement>('.content .field')].filter((field) => field.getClientRects().length > 0);

/** What comes after a field: the one after it in its group, else the way on to the next group, else the next one on the screen. */
export function after(field: Element, past = 1): HTMLElement | undefined {
  const fields = fieldsInView();
  const here = fields.indexOf(field as HTMLElement);
  const next = here < 0 ? undefined : fields[here + past];
  const fold = field.closest('.fold');
  return (fold?.contains(next ?? null) ? null : fold?.querySelector<HTMLElement>('.fold-next')) ?? next;
}

/** Put the cursor into a field's line, or onto its choices, which a second Enter must not answer. */
export function enterField(field: HTMLElement): void {
  const control = field.matches('button') ? field : field.querySelector<HTMLElement>(CONTROLS);
  if (!control) field.tabIndex = -1;
  (control ?? field).focus({ preventScroll: true });
}

/** Leave a field for what comes after it. */
export function onward(from: HTMLElement, past = 1): void {
  const own = from.closest('.field');
  const next = own ? after(own, past) : undefined;
  if (!next) {
    from.blur();
    return;
  }
  enterField(next);
  next.scrollIntoView({ block: 'nearest' });
}
