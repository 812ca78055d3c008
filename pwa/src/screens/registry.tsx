/** Which screen draws what. A stage or a kind without a screen of its own gets the list or the form drawn from the model. */
import type { ComponentType } from 'preact';
import { RoomScreen } from './building/Room.tsx';
import type { OpenSurvey } from '../store/live.ts';
import { later } from '../ui/later.tsx';
import type { LentProps } from './Lent.tsx';
import type { RecordScreenProps, StageScreenProps } from './props.ts';

const ConstructionsScreen = later<StageScreenProps>(
  async () => (await import('./building/Constructions.tsx')).ConstructionsScreen,
);
const RoomsScreen = later<StageScreenProps>(async () => (await import('./building/Rooms.tsx')).RoomsScreen);
const LeavingScreen = later<StageScreenProps>(async () => (await import('./Leaving.tsx')).LeavingScreen);
const OutsideScreen = later<StageScreenProps>(async () => (await import('./outside/Outside.tsx')).OutsideScreen);
const PositionScreen = later<RecordScreenProps>(async () => (await import('./outside/Position.tsx')).PositionScreen);
const BaseScreen = later<RecordScreenProps>(async () => (await import('./outside/Base.tsx')).BaseScreen);
const RoutesScreen = later<StageScreenProps>(async () => (await import('./routes/Routes.tsx')).RoutesScreen);
const RunScreen = later<RecordScreenProps>(async () => (await import('./routes/Run.tsx')).RunScreen);
const HotWaterScreen = later<RecordScreenProps>(async () => (await import('./water/HotWater.tsx')).HotWaterScreen);
const PhotosScreen = later<StageScreenProps>(async () => (await import('./photos/Photos.tsx')).PhotosScreen);
const PhotoScreen = later<RecordScreenProps>(async () => (await import('./photos/Photo.tsx')).PhotoScreen);
const OfficeScreen = later<StageScreenProps>(async () => (await import('./office/Office.tsx')).OfficeScreen);
const TakenScreen = later<StageScreenProps>(async () => (await import('./Taken.tsx')).TakenScreen);
export const SignInScreen = later<object>(async () => (await import('./SignIn.tsx')).SignInScreen);
export const SyncScreen = later<object>(async () => (await import('./Sync.tsx')).SyncScreen);
export const BookRecordScreen = later<RecordScreenProps>(
  async () => (await import('./office/BookRecord.tsx')).BookRecordScreen,
);
export const LentScreen = later<LentProps>(async () => (await import('./Lent.tsx')).LentScreen);
export const FirmScreen = later<object>(async () => (await import('./office/Firm.tsx')).FirmScreen);
export const OfficeListScreen = later<object>(async () => (await import('./office/List.tsx')).OfficeListScreen);

export const SharedScreen = later<object>(async () => (await import('./photos/Shared.tsx')).SharedScreen);
export const ResultsScreen = later<{ open: OpenSurvey }>(
  async () => (await import('./results/Results.tsx')).ResultsScreen,
);
export const WorkingScreen = later<{ open: OpenSurvey; kind: string; id: string }>(
  async () => (await import('./results/Working.tsx')).WorkingScreen,
);

/** Screens of a stage: `#/survey/ID/stage/NAME`. */
export const stageScreens: Record<string, ComponentType<StageScreenProps>> = {
  constructions: ConstructionsScreen,
  rooms: RoomsScreen,
  outside: OutsideScreen,
  routes: RoutesScreen,
  photos: PhotosScreen,
  leaving: LeavingScreen,
  office: OfficeScreen,
};

/** Screens of a record: `#/survey/ID/record/KIND/RECORD`. */
export const recordScreens: Record<string, ComponentType<RecordScreenProps>> = {
  room: RoomScreen,
  outdoor_position: PositionScreen,
  base: BaseScreen,
  pipe_run: RunScreen,
  cable_run: RunScreen,
  photo: PhotoScreen,
  hot_water: HotWaterScreen,
};

/** Whether the screen of a record of this kind draws its form on its own before the rest has come (`isAhead` of an open survey). */
export const isDrawnAhead = (kind: string): boolean => kind === 'room' || !Object.hasOwn(recordScreens, kind);

/** Further screens of a survey: `#/survey/ID/NAME/…`, with the rest of the path in `path`. */
export const surveyScreens: Record<string, ComponentType<StageScreenProps>> = {
  office: OfficeScreen,
  taken: TakenScreen,
};
