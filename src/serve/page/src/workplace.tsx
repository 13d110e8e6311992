import {useEffect, useMemo, useRef, useState} from 'preact/hooks';

import type {Clash, Session} from './job/session';
import type {JobText} from './job/text';
import {MapPane, type Sight} from './map/map-pane';
import {type Focus, type MapTasks, type Page, PageContext, type Step} from './parts/context';
import {Mishap} from './parts/mishap';
import {AnswerStep, verdictWords} from './steps/answer';
import {HouseStep} from './steps/house';
import {LocatesStep} from './steps/locates';
import {LogStep} from './steps/log';
import {indexOfKind, LotStep} from './steps/lot';
import {MarksStep} from './steps/marks';
import {RunStep, RunTabs} from './steps/run';
import {TextStep} from './steps/text';

const steps: readonly (readonly [Step, string, (job: JobText, run: number) => boolean])[] = [
  ['lot', 'Lot', job => indexOfKind(job, 'lot') >= 0],
  ['house', 'House', job => indexOfKind(job, 'house') >= 0],
  ['marks', 'Marks', job => job.list(['features']).some(f => !['lot', 'house', 'curb', 'right-of-way', 'main'].includes(String((f as {kind?: unknown} | null)?.kind)))],
  ['run', 'Camera in', (job, run) => job.at(['runs', run, 'from', 'at']) !== undefined],
  ['log', 'Log', (job, run) => job.list(['runs', run, 'log']).length > 0],
  ['locates', 'Locates', (job, run) => job.list(['runs', run, 'locates']).length > 0],
  ['answer', 'Answer', () => false],
  ['text', 'Job file', () => false],
];

/** How often, in milliseconds, the file is looked at for changes made elsewhere. */
const lookEvery = 4000;

const safetyWords = {saved: 'saved', saving: 'saving …', 'kept here': 'kept in this browser', clash: 'changed elsewhere too'};

export function Workplace({session, onLeave}: {session: Session; onLeave: () => void}) {
  const [step, setStep] = useState<Step>('lot');
  const [run, setRun] = useState(0);
  const [focus, setFocus] = useState<Focus>({});
  const [sight, setSight] = useState<Sight>('map');
  const [beside, setBeside] = useState(false);
  const tasks = useRef<MapTasks | null>(null);
  const main = useRef<HTMLElement>(null);

  const go = (to: Step, at: Focus = {}) => {
    tasks.current?.cancel();
    if (at.run !== undefined) setRun(at.run);
    setFocus(at);
    setStep(to);
    main.current?.scrollTo(0, 0);
    main.current?.focus({preventScroll: true});
  };
  const page = useMemo<Page>(
    () => ({
      session,
      focus,
      go,
      map: {
        tap: (prompt, done) => tasks.current?.tap(prompt, done),
        side: (prompt, area, done) => tasks.current?.side(prompt, area, done),
        draw: (shape, prompt, done) => tasks.current?.draw(shape, prompt, done),
        reshape: (shape, points, prompt, done) => tasks.current?.reshape(shape, points, prompt, done),
        cancel: () => tasks.current?.cancel(),
      },
    }),
    [session, focus],
  );
  useKeysAndReturns(session);
  useEffect(() => document.querySelector('nav [aria-current]')?.scrollIntoView({block: 'nearest', inline: 'center'}), [step]);

  const reply = session.reply.value;
  const errors = session.faults.value.filter(f => f.severity === 'error').length;
  const verdict = reply ? verdictWords(reply.answer, errors) : 'asking …';
  const judged = reply?.answer && reply.answer.locates.length > 0 ? reply.answer.verdict.kind : 'none';
  const tone = errors > 0 ? 'error' : judged;
  const firstFault = () => {
    const path = session.faults.value.find(f => f.severity === 'error')?.path ?? [];
    const [where, index, part, entry] = path;
    if (where === 'runs') return go(part === 'log' || part === 'locates' ? part : 'run', {run: Number(index ?? 0), ...(entry === undefined ? {} : {entry: Number(entry)})});
    if (where === 'features' && index !== undefined) {
      const kind = session.job.value.typed(['features', Number(index), 'kind']);
      if (kind === 'house') return go('house');
      return ['lot', 'curb', 'right-of-way', 'main'].includes(kind) ? go('lot') : go('marks', {entry: Number(index)});
    }
    return go(where === 'site' ? 'lot' : 'text');
  };

  return (
    <PageContext.Provider value={page}>
      <header>
        <button type="button" class="quiet" aria-label="All lots" onClick={onLeave}>
          <img src="./mark.svg" alt="" />
        </button>
        <div class="title">
          <strong>{session.job.value.typed(['site', 'name']) || session.name}</strong>
          <small role="status" class={`safety ${session.safety.value.replace(' ', '-')}`}>
            {safetyWords[session.safety.value]}
          </small>
        </div>
        <button type="button" class={`chip ${tone}`} aria-busy={session.asking.value} onClick={() => (errors > 0 ? firstFault() : go('answer'))}>
          {verdict}
        </button>
        <button type="button" class="quiet round" aria-label="Undo" disabled={!session.undoable.value} onClick={() => session.undo()}>
          ↶
        </button>
        <button type="button" class="quiet round redo" aria-label="Redo" disabled={!session.redoable.value} onClick={() => session.redo()}>
          ↷
        </button>
        <button type="button" class="beside" aria-pressed={beside} onClick={() => setBeside(!beside)}>
          Text beside
        </button>
      </header>
      {session.notice.value && (
        <p class="banner" role="status">
          <span>{session.notice.value}</span>
          <button type="button" onClick={() => (session.notice.value = '')}>
            OK
          </button>
        </p>
      )}
      {session.clash.value && <Settle session={session} clash={session.clash.value} />}
      <div class={`work ${beside && step !== 'text' ? 'with-text' : ''}`}>
        <MapPane session={session} sight={sight} onSight={setSight} onReady={made => (tasks.current = made)} />
        <main id="step" ref={main} tabIndex={-1} aria-label={steps.find(([key]) => key === step)?.[1]}>
          <h1>{steps.find(([key]) => key === step)?.[1]}</h1>
          {(step === 'log' || step === 'locates') && session.job.value.list(['runs']).length > 1 && <RunTabs run={run} onRun={setRun} />}
          <Mishap key={`${step} ${run} ${JSON.stringify(focus)}`}>
            <StepBody step={step} run={run} onRun={setRun} />
          </Mishap>
        </main>
        {beside && step !== 'text' && (
          <aside aria-label="The job file">
            <TextStep id="yaml-beside" />
          </aside>
        )}
      </div>
      <nav aria-label="Steps">
        {steps.map(([key, words, done]) => (
          <button type="button" key={key} class={done(session.job.value, run) ? 'done' : ''} aria-current={step === key ? 'step' : undefined} onClick={() => go(key)}>
            {words}
          </button>
        ))}
      </nav>
    </PageContext.Provider>
  );
}

function useKeysAndReturns(session: Session): void {
  useEffect(() => {
    // A field is written down when it is left; a page that is closed or put away leaves it.
    const leave = () => document.activeElement instanceof HTMLElement && document.activeElement.blur();
    const look = () => (document.visibilityState === 'visible' ? void session.refresh() : leave());
    const looking = setInterval(() => document.visibilityState === 'visible' && void session.refresh(), lookEvery);
    const keys = (e: KeyboardEvent) => {
      const typing = e.target instanceof HTMLInputElement || e.target instanceof HTMLTextAreaElement;
      if (!(e.ctrlKey || e.metaKey) || e.key.toLowerCase() !== 'z' || typing) return;
      e.preventDefault();
      if (e.shiftKey) session.redo();
      else session.undo();
    };
    document.addEventListener('visibilitychange', look);
    window.addEventListener('pagehide', leave);
    window.addEventListener('focus', look);
    document.addEventListener('keydown', keys);
    return () => {
      clearInterval(looking);
      document.removeEventListener('visibilitychange', look);
      window.removeEventListener('pagehide', leave);
      window.removeEventListener('focus', look);
      document.removeEventListener('keydown', keys);
    };
  }, [session]);
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
  const box = useRef<HTMLDialogElement>(null);
  useEffect(() => box.current?.showModal(), []);
  return (
    <dialog class="clash" ref={box} aria-labelledby="clash" onCancel={e => e.preventDefault()}>
      <h2 id="clash">The same note was changed in two places</h2>
      <p>Which shall stand? Every other change is kept, and Undo brings the other one back.</p>
      <h3>Here</h3>
      <pre>{clash.lines.flatMap(l => l.ours).join('\n') || 'struck out'}</pre>
      <h3>Elsewhere</h3>
      <pre>{clash.lines.flatMap(l => l.theirs).join('\n') || 'struck out'}</pre>
      <div class="pair">
        <button type="button" class="do" onClick={() => session.settle(clash, 'ours')}>
          What was said here
        </button>
        <button type="button" onClick={() => session.settle(clash, 'theirs')}>
          What was said elsewhere
        </button>
      </div>
    </dialog>
  );
}
