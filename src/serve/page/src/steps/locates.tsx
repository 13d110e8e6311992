import {useLayoutEffect, useState} from 'preact/hooks';

import {useKept} from '../job/kept';
import {showLength} from '../job/lengths';
import {append, put, scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Faults, Field, Input, Onward, Opened, PathChoice, useUnits} from '../parts/fields';
import {Photo} from '../parts/photo';
import {Position} from '../parts/position';

interface Entry {
  at?: unknown;
}

export function LocatesStep({run}: {run: number}) {
  const {session, focus, go} = usePage();
  const job = session.job.value;
  const path = ['runs', run, 'locates'] as const;
  const entries = job.list(path) as Entry[];
  const [open, setOpen] = useState<number | null>(focus.entry ?? null);
  const [counter, setCounter] = useKept(session.name, `locate-${run}`, '');
  const units = useUnits();
  // Before the step is seen: the field never shows empty what the answer has just asked for.
  useLayoutEffect(() => {
    if (focus.counter) setCounter(focus.counter);
  }, [focus]);

  if (job.at(['runs', run]) === undefined) return <NoRunYet />;

  const begin = (at: unknown) => {
    session.edit(d => append(d, path, {at}));
    setCounter('');
    setOpen(entries.length);
  };
  const reply = session.reply.value;
  const id = job.typed(['runs', run, 'id']);
  const wanted = (reply?.answer?.next_locates ?? []).filter(n => !n.enough && n.run === id).slice(0, 2);

  return (
    <>
      <p class="help">Park the camera, stand over it with the receiver, and say where you stand and how deep it reads.</p>
      {wanted.map((n, i) => (
        <button type="button" key={i} class="hint" onClick={() => setCounter(String(n.at))}>
          <b>{n.at}</b> <span>{n.says}</span>
        </button>
      ))}
      <div class="counter">
        <Input label="Counter of a new locate" kind="length" value={counter} onCommit={setCounter} onType={setCounter} />
        <button type="button" class="do" disabled={counter === ''} onClick={() => begin(scalar(counter))}>
          Add it
        </button>
      </div>
      <ol class="strip">
        {entries.map((entry, i) => (
          <li key={i} class="locate">
            <button type="button" class="row" aria-expanded={open === i} onClick={() => setOpen(open === i ? null : i)}>
              <b>{String(entry?.at ?? '')}</b>
              <span>{fit(i)}</span>
            </button>
            {open === i ? (
              <LocateForm path={[...path, i]} onGone={() => setOpen(null)} onAgain={() => begin(job.at([...path, i, 'at']))} photo={`${id}-locate-${String(entry?.at ?? '')}`} />
            ) : (
              <Faults path={[...path, i]} />
            )}
          </li>
        ))}
      </ol>
      <Onward words="To the answer" onGo={() => go('answer')} />
    </>
  );

  /** The engine lists locates by counter, as the view does, and the view says on which line each is written. */
  function fit(index: number): string {
    const line = job.lineOf([...path, index]);
    const placed = reply?.view?.runs.find(r => r.id === id)?.locates.findIndex(l => l.line === line) ?? -1;
    if (placed < 0) return 'not placed yet';
    const found = reply?.answer?.locates.filter(l => l.run === id)[placed];
    if (!found) return 'placed';
    if (found.wrong_probability > 0.5) return `does not fit: wrong with ${Math.round(found.wrong_probability * 100)} %`;
    return `fits to ${showLength(Math.hypot(found.along, found.across), units)}`;
  }
}

export function NoRunYet() {
  const {go} = usePage();
  return (
    <>
      <p class="help">First say where the camera goes in.</p>
      <Onward words="Where the camera goes in" onGo={() => go('run')} />
    </>
  );
}

const shown = ['at', 'position', 'depth', 'by', 'within', 'direction', 'marked', 'note', 'photo'] as const;

interface FormShape {
  path: readonly (string | number)[];
  photo: string;
  onGone: () => void;
  onAgain: () => void;
}

function LocateForm({path, photo, onGone, onAgain}: FormShape) {
  const {session} = usePage();
  const depth = session.job.value.at([...path, 'depth']);
  const simple = typeof depth !== 'object' || depth === null ? depth : undefined;
  const [across, setAcross] = useState(typeof depth === 'object' && depth !== null);
  return (
    <Opened look="card">
      <Position label="Where you stood" path={[...path, 'position']} memory="locate" />
      {across ? (
        <div class="pair">
          <Field label="Depth, along the pipe" path={[...path, 'depth', 'along']} kind="length" help="The better of the two." />
          <Field label="Depth, across it" path={[...path, 'depth', 'across']} kind="length" />
        </div>
      ) : (
        <>
          <Field label="Depth, receiver along the pipe" path={[...path, 'depth']} kind="length" />
          <button
            type="button"
            class="quiet"
            onClick={() => {
              if (simple !== undefined) session.edit(d => put(d, [...path, 'depth'], {along: simple}));
              setAcross(true);
            }}
          >
            + also read across
          </button>
        </>
      )}
      <PathChoice
        label="Found by"
        path={[...path, 'by']}
        otherwise="peak"
        options={[
          ['peak', 'strongest signal'],
          ['nulls', 'between nulls'],
          ['line', 'line only'],
        ]}
      />
      <details>
        <summary>More about this locate</summary>
        <Field label="Counter" path={[...path, 'at']} kind="length" />
        <Field label="Sure to within, all in all, 19 times in 20" path={[...path, 'within']} kind="length" />
        <Field label="Bearing of the line, if the receiver showed it" path={[...path, 'direction']} placeholder="N 40 W" />
        <Field label="Left on the ground" path={[...path, 'marked']} placeholder="white stake" />
        <Field label="Note" path={[...path, 'note']} placeholder="under the big linden" />
        <Photo path={[...path, 'photo']} name={photo} />
      </details>
      <Faults path={path} except={shown} />
      <div class="pair">
        <button type="button" onClick={onAgain}>
          One more at this counter
        </button>
        <button
          type="button"
          class="away"
          onClick={() => {
            session.edit(d => put(d, path, undefined));
            onGone();
          }}
        >
          Strike it out
        </button>
      </div>
    </Opened>
  );
}
