/** A line or a few that the firm says of itself: what is asked, what was typed, and what the office found wrong with it. */

export function FirmField({
  name,
  label,
  help,
  rows,
  mode,
  most,
  value,
  wrong,
  onType,
}: {
  name: string;
  label: string;
  help: string;
  rows: number;
  mode?: 'numeric' | 'tel' | 'email' | undefined;
  most: number;
  value: string;
  wrong: string | null;
  onType: (text: string) => void;
}) {
  const id = `firm-${name}`;
  const common = {
    id,
    class: wrong ? 'input input-problem' : 'input',
    'aria-describedby': `${id}-notes`,
    'aria-invalid': wrong ? true : undefined,
    maxLength: most,
    value,
    onInput: (event: Event) => onType((event.currentTarget as HTMLInputElement).value),
  };
  return (
    <div class="field">
      <label class="field-label" for={id}>
        {label}
      </label>
      {rows > 1 ? (
        <textarea {...common} rows={rows} />
      ) : (
        <input {...common} type="text" inputMode={mode ?? 'text'} autocomplete="off" />
      )}
      <div id={`${id}-notes`}>
        {help && <p class="field-notes">{help}</p>}
        <p class="field-problem" role="alert">
          {wrong}
        </p>
      </div>
    </div>
  );
}
