/** Which screen draws what. A stop or a kind without a screen of its own gets the list or the form drawn from the model. */
import type { ComponentType } from 'preact';
import type { SurveyRecord } from '../domain/survey.ts';
import type { OpenSurvey } from '../store/live.ts';
import { ConstructionsScreen } from './building/Constructions.tsx';
import { RoomScreen } from './building/Room.tsx';
import { RoomsScreen } from './building/Rooms.tsx';
import { LeavingScreen } from './Leaving.tsx';
import { OfficeScreen } from './office/Office.tsx';
import { BaseScreen } from './outside/Base.tsx';
import { OutsideScreen } from './outside/Outside.tsx';
import { PositionScreen } from './outside/Position.tsx';
import { PhotoScreen } from './photos/Photo.tsx';
import { PhotosScreen } from './photos/Photos.tsx';
import { RoutesScreen } from './routes/Routes.tsx';
import { RunScreen } from './routes/Run.tsx';

export interface StopScreenProps {
  open: OpenSurvey;
  query: URLSearchParams;
}

export interface RecordScreenProps {
  open: OpenSurvey;
  record: SurveyRecord;
  query: URLSearchParams;
}

/** Screens of a stop: `#/survey/ID/stop/NAME`. */
export const stopScreens: Record<string, ComponentType<StopScreenProps>> = {
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
};

/** Further screens of a survey: `#/survey/ID/NAME/…`, with the rest of the path in `path`. */
export const surveyScreens: Record<string, ComponentType<StopScreenProps & { path: string[] }>> = {
  office: OfficeScreen,
};
