/** The groups of a form on the phone: a head for each with what was answered, one open at first, and the way on to the next at its foot. */
import type { ComponentChildren } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { enterField } from '../ui/onward.ts';
import { bring, toTop } from '../ui/reach.ts';
import { ProgressShape } from '../ui/shapes.tsx';
import {
  heldBy,
  isHeld,
  isTyped,
  missingIn,
  openAtFirst,
  saidOf,
  staying,
  type AskedGroup,
  type Asking,
} from './folds.ts';
import { useOneAtATime } from './saving.tsx';

interface FoldsProps extends Asking {
  groups: AskedGroup[];
  focus?: string | null;
  draw: (group: AskedGroup) => ComponentChildren;
}

/** From here on all groups stand open at first: a laptop has room. The heads are the same, so that a tablet that is turned loses nothing. */
const ROOMY = '(min-width: 60rem)';

const idOf = (group: AskedGroup): string => `group-${group.name}`;

export function Folds({ groups, focus = null, draw, ...asking }: FoldsProps) {
  const [, redraw] = useState({});
  const [isRoomy] = useState(() => matchMedia(ROOMY).matches);
  const [shown] = useState(
    () => new Set((isRoomy ? groups : openAtFirst(asking, groups, focus)).map((group) => group.name)),
  );
  const [met] = useState(() => new Set(groups.map((group) => group.name)));
  const sought = useRef<string | null>(null);
  const toldOf = useRef<string | null>(null);
  const wanted = useRef<AskedGroup | null>(null);

  const target = groups.find(({ fields }) => fields.some((field) => field.name === focus));
  if (target && sought.current !== focus) shown.add(target.name);
  sought.current = target ? focus : null;
  for (const { name, fields } of groups) {
    // Once held, a group stays open until a person folds it: nothing closes under the thumb when it is settled.
    if ((isRoomy && !met.has(name)) || fields.some((field) => isHeld(asking, field))) shown.add(name);
    met.add(name);
  }

  // A link to the field that the address has already changes no address, and yet is to show it.
  useEffect(() => {
    const again = ({ target: tapped }: Event) => {
      if (!target || !(tapped instanceof Element) || tapped.closest('a')?.hash !== location.hash) return;
      shown.add(target.name);
      redraw({});
    };
    addEventListener('click', again);
    return () => removeEventListener('click', again);
  }, [target?.name]);

  // Before it is painted: what closes above is not seen to push the next group about.
  useLayoutEffect(() => {
    const section = wanted.current && document.getElementById(idOf(wanted.current));
    wanted.current = null;
    if (!section) return;
    toTop(section);
    enterField(section.querySelector<HTMLElement>('.field')!);
  });

  const toggle = useOneAtATime(async ({ name, fields }: AskedGroup) => {
    if (!shown.has(name)) shown.add(name);
    else {
      const { isKept, by } = await heldBy(asking, fields);
      if (by) bring(() => document.getElementById(`field-${by.name}`));
      else if (isKept) shown.delete(name);
    }
    redraw({});
  });
  const goOn = useOneAtATime(async ({ name, fields }: AskedGroup, next: AskedGroup) => {
    const { isKept, by } = await heldBy(asking, fields);
    // What was not taken is shown first, once; nobody is kept here by it, and the group stays open behind.
    if (!isKept || (by && isTyped(asking, by) && toldOf.current !== name)) {
      toldOf.current = name;
      if (by) bring(() => document.getElementById(`field-${by.name}`));
      return;
    }
    if (!by) shown.delete(name);
    shown.add(next.name);
    wanted.current = next;
    redraw({});
  });

  return (
    <>
      {groups.map((group, place) => {
        const isOpen = shown.has(group.name);
        const next = groups[place + 1];
        return (
          <section key={group.name} class="group fold" id={idOf(group)} aria-label={group.label}>
            <Head asking={asking} group={group} isOpen={isOpen} onTap={() => toggle(group)} />
            {isOpen && (
              <>
                <div class="group-plain group-form" id={`${idOf(group)}-asked`}>
                  {draw(group)}
                </div>
                {next && !isRoomy && (
                  <button
                    type="button"
                    class="button button-wide fold-next"
                    {...staying}
                    onClick={() => goOn(group, next)}
                  >
                    Next: {next.label}
                  </button>
                )}
              </>
            )}
          </section>
        );
      })}
    </>
  );
}

interface HeadProps {
  asking: Asking;
  group: AskedGroup;
  isOpen: boolean;
  onTap: () => void;
}

function Head({ asking, group, isOpen, onTap }: HeadProps) {
  const missing = missingIn(asking, group.fields);
  const answers = isOpen ? '' : saidOf(asking, group.fields);
  const said = `${idOf(group)}-said`;
  return (
    <div class="fold-head">
      <h2>
        <button
          type="button"
          aria-expanded={isOpen}
          aria-controls={isOpen ? `${idOf(group)}-asked` : undefined}
          aria-describedby={said}
          {...staying}
          onClick={onTap}
        >
          {group.label}
        </button>
        {group.beside && <span> {group.beside}</span>}
      </h2>
      <p class="fold-said" id={said}>
        {missing > 0 && (
          <span class="field-wanted">
            <ProgressShape progress={{ state: 'gaps' }} />
            {missing} needed
          </span>
        )}
        {!isOpen && (
          <span class={answers ? 'fold-answers' : 'fold-answers fold-about'}>
            {answers || group.fields.map((field) => field.label).join(', ')}
          </span>
        )}
      </p>
    </div>
  );
}
