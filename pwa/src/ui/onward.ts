/** Enter moves on: from a field that was answered to the one after it, without a tap between them. */

const CONTROLS = 'input:not([type="file"]), select, textarea';

/** The fields that are there to be answered, in their order: those of a folded group are not. */
export const fieldsInView = (): HTMLElement[] =>
  [...document.querySelectorAll<HTMLElement>('.content .field')].filter((field) => field.getClientRects().length > 0);

/** Leave a field for the one that stands after it on the screen: into its line, or onto its choices, which a second Enter must not answer. */
export function onward(from: HTMLElement, past = 1): void {
  const fields = fieldsInView();
  const own = from.closest<HTMLElement>('.field');
  const here = own ? fields.indexOf(own) : -1;
  const next = here < 0 ? undefined : fields[here + past];
  if (!next) {
    from.blur();
    return;
  }
  const control = next.querySelector<HTMLElement>(CONTROLS);
  if (!control) next.tabIndex = -1;
  (control ?? next).focus({ preventScroll: true });
  next.scrollIntoView({ block: 'nearest' });
}
