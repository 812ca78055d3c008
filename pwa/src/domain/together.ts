/** Sizes of one thing: typed in one go into the first of its fields, they fill the others. */
import { fieldOf, type Field } from './model.ts';

const SETS: Record<string, string[][]> = {
  room: [['length_m', 'width_m', 'height_m']],
  surface: [['width_m', 'height_m']],
  emitter: [
    ['height_mm', 'length_mm'],
    ['free_width_mm', 'free_height_mm'],
  ],
  construction: [['pane_width_mm', 'pane_height_mm']],
  hot_water: [['place_width_mm', 'place_depth_mm', 'place_height_mm']],
  base: [['length_mm', 'width_mm', 'thickness_mm']],
  vessel: [
    ['clear_width_mm', 'clear_depth_mm', 'clear_height_mm'],
    ['width_mm', 'depth_mm', 'height_mm'],
  ],
  unit: [
    ['width_mm', 'depth_mm', 'height_mm'],
    ['feet_across_mm', 'feet_deep_mm'],
  ],
};

/** All sets, for whoever holds them against the model. */
export const allTogether = (): [string, string[]][] =>
  Object.entries(SETS).flatMap(([kind, sets]) => sets.map((names): [string, string[]] => [kind, names]));

/** The fields that sizes typed into this one fill: itself and those after it; itself alone where it begins no set. */
export function togetherWith(kind: string, name: string): Field[] {
  const names = SETS[kind]?.find(([first]) => first === name) ?? [name];
  return names.map((item) => fieldOf(kind, item));
}
