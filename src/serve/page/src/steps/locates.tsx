import {useState} from 'preact/hooks';

import {showCounter, showLength} from '../job/lengths';
import {append, put, scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Faults, Field, Input, PathChoice, useUnits} from '../parts/fields';
import {Position} from '../parts/position';

interface Entry {
  at?: unknown;
}

export function LocatesStep({run}: {run: number}) {
  const {session} = usePage();
  const job = session.job.value;
  const path = ['runs', run, 'locates'] as const;
  const entries = job.list(path) as Entry[];
  const [open, setOpen] = useState<number | null>(null);
  const next = session.reply.value?.answer?.next_locates ?? [];
  const units = useUnits();

  if (job.at(['runs', run]) === undefined) return <p class="help">First say where the camera goes in.</p>;

  const begin = (typed: string) => {
    if (typed === '') return;
    session.edit(d => append(d, path, {at: scalar(typed), position: {ties: {}}}));
    setOpen(entries.length);
  };
  const wanted = next.filter(n => !n.enough).slice(0, 2);

  return (
    <>
      <p class="help">Park the camera, stand over it with the receiver, and say where you stand and how deep it reads.</p>
      <Input label="Counter of a new locate" kind="length" value="" onCommit={begin} />
      {wanted.length > 0 && (
        <p class="hint">
          Worth most now: a locate at {wanted.map(n => showCounter(n.at)).join(' or ')}. {wanted[0]!.says}
        </p>
      )}
      <ol class="rows">
        {entries.map((entry, i) => (
          <li key={i}>
            <button type="button" class="row" aria-expanded={open === i} onClick={() => setOpen(open === i ? null : i)}>
              <b>{String(entry?.at ?? '')}</b>
              <span>{fit(i)}</span>
            </button>
            {open === i ? <LocateForm path={[...path, i]} onGone={() => setOpen(null)} /> : <Faults path={[...path, i]} />}
          </li>
        ))}
      </ol>
    </>
  );

  function fit(index: number): string {
    const answer = session.reply.value?.answer as {locates?: {run: string; at: number; along: number; across: number; wrong_probability: number}[]} | null;
    const id = job.typed(['runs', run, 'id']);
    const at = Number(job.at([...path, index, 'at']));
    const found = answer?.locates?.find(l => l.run === id && Math.abs(l.at - at) < 1e-6);
    if (!found) return 'not placed yet';
    if (found.wrong_probability > 0.5) return `does not fit (${Math.round(found.wrong_probability * 100)} % wrong)`;
    return `fits to ${showLength(Math.hypot(found.along, found.across), units)}`;
  }
}

function LocateForm({path, onGone}: {path: readonly (string | number)[]; onGone: () => void}) {
  const {session} = usePage();
  const depth = session.job.value.at([...path, 'depth']);
  const plainDepth = typeof depth === 'object' && depth !== null ? undefined : depth;
  const [across, setAcross] = useState(typeof depth === 'object' && depth !== null && 'across' in depth);
  return (
    <div class="card">
      <Field label="Counter" path={[...path, 'at']} kind="length" />
      <Position label="Where you stood" path={[...path, 'position']} />
      {plainDepth !== undefined && !across ? (
        <Field label="Depth, receiver along the pipe" path={[...path, 'depth']} kind="length" />
      ) : (
        <div class="pair">
          <Field label="Depth, along the pipe" path={[...path, 'depth', 'along']} kind="length" help="The better of the two." />
          <Field label="Depth, across it" path={[...path, 'depth', 'across']} kind="length" />
        </div>
      )}
      {plainDepth !== undefined && !across && (
        <button
          type="button"
          class="quiet"
          onClick={() => {
            session.edit(d => put(d, [...path, 'depth'], {along: plainDepth}));
            setAcross(true);
          }}
        >
          Also read across
        </button>
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
      <Field label="Sure to within (whole, 19 times in 20)" path={[...path, 'within']} kind="length" />
      <Field label="Left on the ground" path={[...path, 'marked']} placeholder="white stake" />
      <Field label="Note" path={[...path, 'note']} placeholder="under the big linden" />
      <Faults path={path} />
      <button
        type="button"
        class="quiet"
        onClick={() => {
          session.edit(d => put(d, path, undefined));
          onGone();
        }}
      >
        Strike it out
      </button>
    </div>
  );
}
