/** The app: which screen belongs to the address, and nothing else. */
import { NotSavedDialog } from './forms/saving.tsx';
import { kindOf, model } from './domain/model.ts';
import { singleId } from './domain/ids.ts';
import { HomeScreen } from './screens/Home.tsx';
import { MissingScreen, useSurvey } from './screens/current.tsx';
import { RecordScreen } from './screens/Record.tsx';
import { FirmScreen, OfficeListScreen, recordScreens, stopScreens, surveyScreens } from './screens/registry.tsx';
import { ResultsScreen } from './screens/results/Results.tsx';
import { WorkingScreen } from './screens/results/Working.tsx';
import { SignInScreen } from './screens/SignIn.tsx';
import { StopScreen } from './screens/Stop.tsx';
import { SurveyListScreen } from './screens/SurveyList.tsx';
import { SyncScreen } from './screens/Sync.tsx';
import { waits } from './sync/loop.ts';
import { route } from './ui/router.ts';

export function App() {
  const now = waits.value;
  // The store answers within a few milliseconds; a frame of nothing is calmer than a flash of something else.
  if (now === undefined) return null;
  return (
    <>
      {now.session ? <Routed /> : <SignInScreen />}
      <NotSavedDialog />
    </>
  );
}

function Routed() {
  const { path, query } = route.value;
  const [first, id, ...rest] = path;
  if (first === undefined) return <SurveyListScreen />;
  if (first === 'sign-in') return <SignInScreen />;
  if (first === 'sync') return <SyncScreen />;
  if (first === 'office') return id === 'firm' ? <FirmScreen /> : <OfficeListScreen />;
  if (first === 'survey' && id) return <InSurvey key={id} id={id} path={rest} query={query} />;
  return <MissingScreen words="There is no page at this address." back="#/" />;
}

function InSurvey({ id, path, query }: { id: string; path: string[]; query: URLSearchParams }) {
  const opened = useSurvey(id);
  const [part, name, record] = path;
  if (opened === undefined) return null;
  if (opened === null) return <MissingScreen words="This survey is not on this phone." survey={id} back="#/" />;
  const open = opened;
  if (part === undefined) return <HomeScreen open={open} />;
  if (part === 'results') return <ResultsScreen open={open} />;
  if (part === 'working' && name) return <WorkingScreen open={open} kind={name} id={record ?? ''} />;
  if (part === 'stop' && name && model.stops.some((stop) => stop.name === name)) {
    const Special = stopScreens[name];
    return Special ? <Special open={open} query={query} /> : <StopScreen open={open} stop={name} />;
  }
  if (part === 'record' && name && record && model.kinds[name]) {
    const kind = kindOf(name);
    // A record that a survey has once can be opened before it is there: the first answer makes it.
    const found = open.survey.find(name, record) ?? (kind.single && record === singleId(id, name) ? { kind: name, id: record, values: {} } : undefined);
    if (!found) return <MissingScreen words="This record is not there any more." back={`#/survey/${id}`} />;
    const Special = recordScreens[name];
    return Special ? <Special key={record} open={open} record={found} query={query} /> : <RecordScreen key={record} open={open} record={found} query={query} />;
  }
  const Further = surveyScreens[part];
  if (Further) return <Further open={open} query={query} path={path.slice(1)} />;
  return <MissingScreen words="There is no page at this address." back={`#/survey/${id}`} />;
}
