import 'ol/ol.css';
import './look/page.css';

import {render} from 'preact';
import {useEffect, useMemo, useRef, useState} from 'preact/hooks';

import {ApiError} from './api';
import {type Clash, Session} from './job/session';
import {MapPane} from './map/map-pane';
import {type MapTasks, type Page, PageContext} from './parts/context';
import {Jobs} from './parts/jobs';
import {starterJob} from './parts/starter';
import {AnswerStep, verdictWords} from './steps/answer';
import {HouseStep} from './steps/house';
import {LocatesStep} from './steps/locates';
import {LogStep} from './steps/log';
import {LotStep} from './steps/lot';
import {MarksStep} from './steps/marks';
import {RunStep} from './steps/run';
import {TextStep} from './steps/text';

const steps = [
  ['lot', 'Lot'],
  ['house', 'House'],
  ['marks', 'Marks'],
  ['run', 'Camera in'],
  ['log', 'Log'],
  ['locates', 'Locates'],
  ['answer', 'Answer'],
  ['text', 'Text'],
] as const;
type Step = (typeof steps)[number][0];

const safetyWords = {saved: 'saved', saving: 'saving …', 'kept here': 'kept in this browser, not on the disk yet', clash: 'changed elsewhere too'};

function App() {
  const [session, setSession] = useState<Session | null>(null);
  const [trouble, setTrouble] = useState('');

  const open = (name: string, begin?: string) => {
    const made = new Session(name);
    setTrouble('');
    (begin === undefined ? made.open() : made.begin(begin)).then(
      () => {
        history.replaceState(null, '', `?job=${encodeURIComponent(name)}${location.hash}`);
        setSession(made);
      },
      (error: unknown) => setTrouble(error instanceof ApiError ? error.message : String(error)),
    );
  };

  useEffect(() => {
    const wanted = new URLSearchParams(location.search).get('job');
    if (wanted) open(wanted);
  }, []);

  if (session) {
    return (
      <Workplace
        key={session.name}
        session={session}
        onLeave={() => {
          history.replaceState(null, '', location.pathname + location.hash);
          setSession(null);
        }}
      />
    );
  }
  return (
    <>
      {trouble && <p class="error banner">{trouble}</p>}
      <Jobs onOpen={open} onBegin={(file, title) => open(file, starterJob(title, new Date().toISOString().slice(0, 10)))} />
    </>
  );
}

function Workplace({session, onLeave}: {session: Session; onLeave: () => void}) {
  const [step, setStep] = useState<Step>('lot');
  const [run, setRun] = useState(0);
  const tasks = useRef<MapTasks | null>(null);
  const page = useMemo<Page>(
    () => ({
      session,
      map: {
        tap: (prompt, done) => tasks.current?.tap(prompt, done),
        draw: (shape, prompt, done) => tasks.current?.draw(shape, prompt, done),
        cancel: () => tasks.current?.cancel(),
      },
    }),
    [session],
  );

  useEffect(() => {
    const look = () => document.visibilityState === 'visible' && void session.refresh();
    document.addEventListener('visibilitychange', look);
    const undo = (e: KeyboardEvent) => {
      const typing = e.target instanceof HTMLInputElement || e.target instanceof HTMLTextAreaElement;
      if ((e.ctrlKey || e.metaKey) && e.key === 'z' && !typing) {
        e.preventDefault();
        session.undo();
      }
    };
    document.addEventListener('keydown', undo);
    return () => {
      document.removeEventListener('visibilitychange', look);
      document.removeEventListener('keydown', undo);
    };
  }, [session]);

  useEffect(() => document.querySelector('nav [aria-current]')?.scrollIntoView({block: 'nearest', inline: 'center'}), [step]);

  const reply = session.reply.value;
  const errors = reply?.diagnostics.filter(d => d.severity === 'error').length ?? 0;
  const verdict = reply ? verdictWords(reply.answer, errors) : 'asking …';
  const tone = errors > 0 ? 'error' : (reply?.answer?.verdict.kind ?? 'none');

  return (
    <PageContext.Provider value={page}>
      <header>
        <button type="button" class="quiet" aria-label="All lots" onClick={onLeave}>
          ☰
        </button>
        <div class="title">
          <strong>{session.job.value.typed(['site', 'name']) || session.name}</strong>
          <small role="status">{safetyWords[session.safety.value]}</small>
        </div>
        <button type="button" class={`chip ${tone}`} aria-busy={session.asking.value} onClick={() => setStep(errors > 0 ? 'text' : 'answer')}>
          {verdict}
        </button>
        <button type="button" class="quiet" aria-label="Undo" disabled={!session.undoable.value} onClick={() => session.undo()}>
          ↶
        </button>
      </header>
      {session.notice.value && (
        <p class="banner" role="status">
          {session.notice.value}
          <button type="button" class="quiet" onClick={() => (session.notice.value = '')}>
            OK
          </button>
        </p>
      )}
      {session.clash.value && <Settle session={session} clash={session.clash.value} />}
      <div class="work">
        <MapPane session={session} onReady={made => (tasks.current = made)} />
        <main id="step" aria-label={steps.find(([key]) => key === step)?.[1]}>
          <StepBody step={step} run={run} onRun={setRun} />
        </main>
      </div>
      <nav aria-label="Steps">
        {steps.map(([key, words]) => (
          <button
            type="button"
            key={key}
            aria-current={step === key ? 'step' : undefined}
            onClick={() => {
              page.map.cancel();
              setStep(key);
            }}
          >
            {words}
          </button>
        ))}
      </nav>
    </PageContext.Provider>
  );
}

function StepBody({step, run, onRun}: {step: Step; run: number; onRun: (index: number) => void}) {
  switch (step) {
    case 'lot':
      return <LotStep />;
    case 'house':
      return <HouseStep />;
    case 'marks':
      return <MarksStep />;
    case 'run':
      return <RunStep run={run} onRun={onRun} />;
    case 'log':
      return <LogStep run={run} />;
    case 'locates':
      return <LocatesStep run={run} />;
    case 'answer':
      return <AnswerStep />;
    case 'text':
      return <TextStep />;
  }
}

function Settle({session, clash}: {session: Session; clash: Clash}) {
  return (
    <section class="card clash" role="alertdialog" aria-label="Changed in two places">
      <p>The same lines of this job were changed here and elsewhere. Which shall stand? The other one is not thrown away: Undo brings it back.</p>
      <div class="pair">
        <button type="button" class="do" onClick={() => session.settle(clash, 'ours')}>
          What is on this screen
        </button>
        <button type="button" onClick={() => session.settle(clash, 'theirs')}>
          What is in the file
        </button>
      </div>
    </section>
  );
}

render(<App />, document.getElementById('page')!);
