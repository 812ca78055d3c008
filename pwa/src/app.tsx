/** The app: which screen belongs to the address, and nothing else. */
import { Component, type ComponentChildren } from 'preact';
import { NotSavedDialog } from './forms/saving.tsx';
import { kindOf, model } from './domain/model.ts';
import { BOOK } from './domain/book.ts';
import { DEMO } from './domain/demo.ts';
import { singleId } from './domain/ids.ts';
import { HomeScreen } from './screens/Home.tsx';
import { MissingScreen, useSurvey, writerOf } from './screens/current.tsx';
import { RecordScreen } from './screens/Record.tsx';
import {
  BookRecordScreen,
  FirmScreen,
  isDrawnAhead,
  LentScreen,
  OfficeListScreen,
  recordScreens,
  ResultsScreen,
  SharedScreen,
  SignInScreen,
  stageScreens,
  surveyScreens,
  SyncScreen,
  WorkingScreen,
} from './screens/registry.tsx';
import { StageScreen } from './screens/Stage.tsx';
import { StraightOn, SurveyListScreen } from './screens/SurveyList.tsx';
import { isUncompared } from './store/second.ts';
import { storeFault, waits } from './sync/loop.ts';
import { isSigningOut } from './sync/signing_out.ts';
import { isOurs, START } from './ui/addresses.ts';
import { Notice } from './ui/Notice.tsx';
import { link, route } from './ui/router.ts';
import { Writing } from './ui/Writing.tsx';

export function App() {
  if (isSigningOut.value) return <SigningOut />;
  if (!isOurs(location.pathname)) return <MissingScreen words="There is no page at this address." back={START} />;
  return (
    <Guard at={route.value.path.join('/')}>
      <Opened />
    </Guard>
  );
}

/** Nothing of what was on the screen stays on it while the office is told. */
function SigningOut() {
  return (
    <div class="page">
      <main class="content">
        <h1>Signing out</h1>
        <p role="status">What was on this phone is being taken off it. Keep the app open for a moment.</p>
      </main>
    </div>
  );
}

/** Keeps a page that cannot be shown from taking the others with it: another address is another page, which may well stand. */
class Guard extends Component<{ at: string; children: ComponentChildren }, { fault: unknown; at: string | null }> {
  override state = { fault: null as unknown, at: null as string | null };

  override componentDidCatch(fault: unknown): void {
    console.error('A page could not be shown:', fault);
    this.setState({ fault, at: this.props.at });
  }

  override render() {
    const { fault, at } = this.state;
    return at === this.props.at ? (
      <PageFault why={fault instanceof Error ? fault.message : String(fault)} />
    ) : (
      this.props.children
    );
  }
}

/** What is on this phone cannot be read or shown as it should: said in words, with the ways that are left, instead of an empty page. */
function PageFault({ why }: { why: string }) {
  return (
    <div class="page">
      <main class="content">
        <h1>This page cannot be shown</h1>
        <Notice tone="stop">
          <p>
            Part of what this phone holds could not be read. Nothing has been deleted or changed: what was saved is
            still on this phone, and what was called at the office is there.
          </p>
          <p>
            Try again first. If it stays so, go to what is where and save a copy of the survey to a file, then ask your
            office for help. Do not clear the browser's data.
          </p>
        </Notice>
        <p class="field-notes">The browser says: {why}</p>
        <div class="buttons">
          <button type="button" class="button button-main" onClick={() => location.reload()}>
            Try again
          </button>
          <a class="button" href="#/">
            Back to the surveys
          </a>
          <a class="button" href={link('sync')}>
            What is where
          </a>
        </div>
      </main>
    </div>
  );
}

function Opened() {
  const now = waits.value;
  // The store answers within a few milliseconds: until then stands what the page itself brought along.
  if (now === undefined) return storeFault.value ? <StoreFault why={storeFault.value} /> : <Shell />;
  // An empty store may have been a full one: nobody is asked to sign in before the journal has been looked at.
  if (!now.session && isUncompared()) return null;
  return (
    <>
      {now.session ? <Routed /> : <SignInScreen />}
      <NotSavedDialog />
    </>
  );
}

/** What `index.html` holds before any script has run, without a word that would have to change. */
function Shell() {
  return (
    <div class="page">
      <div class="bar" />
      <div class="strip" />
    </div>
  );
}

/** The browser does not open its store at all: said in words, with what helps, instead of an empty page. */
function StoreFault({ why }: { why: string }) {
  return (
    <div class="page">
      <main class="content">
        <h1>The store of this phone does not open</h1>
        <Notice tone="stop">
          <p>
            Nothing has been deleted, and nothing can be saved until it opens. Close every other tab of Wattwalk, free
            some room if the phone is full, then try again.
          </p>
          <p>
            If it stays so after the phone was started anew, do not clear the browser's data: ask your office for help
            first. What the phone called at the office is there.
          </p>
        </Notice>
        <p class="field-notes">The browser says: {why}</p>
        <button type="button" class="button button-main" onClick={() => location.reload()}>
          Try again
        </button>
      </main>
    </div>
  );
}

function Routed() {
  const { path, query } = route.value;
  const [first, id, ...rest] = path;
  if (first === undefined) return <SurveyListScreen />;
  if (first === 'sign-in') return <SignInScreen />;
  if (first === 'sync') return <SyncScreen />;
  if (first === 'new' || first === 'last') return <StraightOn to={first} />;
  if (first === 'shared') return <SharedScreen />;
  if (first === 'office') return id === 'firm' ? <FirmScreen /> : <OfficeListScreen />;
  if (first === 'survey' && id) return <InSurvey key={id} id={id} path={rest} query={query} />;
  return <MissingScreen words="There is no page at this address." back="#/" />;
}

function InSurvey(props: { id: string; path: string[]; query: URLSearchParams }) {
  return (
    <Writing writer={writerOf(props.id)}>
      <SurveyPart {...props} />
    </Writing>
  );
}

function SurveyPart({ id, path, query }: { id: string; path: string[]; query: URLSearchParams }) {
  const opened = useSurvey(id);
  const [part, name, record] = path;
  if (opened === undefined) return null;
  if (opened === null && isUncompared()) return null;
  if (opened === null) return <MissingScreen words="This survey is not on this phone." survey={id} back="#/" />;
  const open = opened;
  // One may have gone on to another screen meanwhile, which waits for all of the survey.
  if (open.isAhead && !(id !== BOOK && part === 'record' && name && isDrawnAhead(name))) return null;
  if (id === BOOK && part !== 'record') return <FirmScreen />;
  if (part === undefined) return <HomeScreen open={open} />;
  if (part === 'results') return <ResultsScreen open={open} />;
  if (part === 'working' && name) return <WorkingScreen open={open} kind={name} id={record ?? ''} />;
  if (id === DEMO && (part === 'office' || (part === 'stage' && name === 'office')))
    return (
      <MissingScreen
        words="The demo house of this phone is not at the office, so there is nothing of it there."
        back={`#/survey/${id}`}
      />
    );
  // Links from before the walk had stages say 'stop'.
  if ((part === 'stage' || part === 'stop') && name && model.stages.some((stage) => stage.name === name)) {
    const Special = stageScreens[name];
    return Special ? <Special open={open} query={query} /> : <StageScreen open={open} stage={name} />;
  }
  if (part === 'record' && name && record && model.kinds[name]) {
    const kind = kindOf(name);
    // A record that a survey has once can be opened before it is there: the first answer makes it.
    const found =
      open.survey.find(name, record) ??
      (kind.single && record === singleId(id, name) ? { kind: name, id: record, values: {} } : undefined);
    if (!found) return <MissingScreen words="This record is not there any more." back={`#/survey/${id}`} />;
    if (open.survey.isLent(found)) return open.isAhead ? null : <LentScreen kind={kind} record={found} survey={id} />;
    if (id === BOOK) return <BookRecordScreen key={record} open={open} record={found} query={query} />;
    const Special = recordScreens[name];
    return Special ? (
      <Special key={record} open={open} record={found} query={query} />
    ) : (
      <RecordScreen key={record} open={open} record={found} query={query} />
    );
  }
  const Further = surveyScreens[part];
  if (Further) return <Further open={open} query={query} path={path.slice(1)} />;
  return <MissingScreen words="There is no page at this address." back={`#/survey/${id}`} />;
}
