/** What a field of a record is given, and what each way of answering it is given by the field. */
import type { Choice, Field as FieldSpec, Row, Value, Values } from '../domain/model.ts';
import type { OpenSurvey } from '../store/live.ts';

export interface FieldProps {
  open: OpenSurvey;
  record: { kind: string; id: string };
  field: FieldSpec;
  value: Value | undefined;
  /** Narrower choices than the declared ones, where the place on the screen allows it. */
  choices?: Choice[];
  isFocused?: boolean;
  /** All choices are buttons, and once one was chosen it stands alone; a tap on it shows the others again. */
  folds?: boolean;
  /** What is asked after this choice is typed at once: the cursor goes there. */
  typesOn?: boolean;
  /** Takes the place of saving the one field: for answers that bring other edits with them. */
  onSave?: (value: Value) => Promise<unknown>;
}

export interface InputProps extends FieldProps {
  id: string;
  path: string;
  describedBy: string;
  save: (value: Value) => Promise<boolean>;
  /** Save what was typed here, with the sizes that it says of the fields after this one. */
  saveAll: (values: Values) => Promise<boolean>;
  /** Save an answer that was tapped, and show what is asked next. */
  pick: (value: Value) => Promise<void>;
  change: (by: (rows: Row[]) => Row[]) => Promise<boolean>;
  /** What stands in the field is not the answer that was saved. */
  unsay: () => void;
}
