import {useState} from 'preact/hooks';

import {append, put} from '../job/text';
import {usePage} from '../parts/context';
import {Faults, Field, Onward, Opened} from '../parts/fields';
import {Position} from '../parts/position';
import {Reshape} from '../parts/reshape';

const points = ['tree', 'hydrant', 'pole', 'meter', 'valve', 'manhole', 'rock', 'mark'] as const;
const lines = ['main', 'water', 'gas', 'electric', 'comms', 'driveway', 'walk', 'fence', 'wall'] as const;

const utilities = new Set(['water', 'gas', 'electric', 'comms']);

interface Entry {
  id?: unknown;
  label?: unknown;
  kind?: unknown;
}

/** An id that is not taken: `tree`, `tree2` … */
function freeId(kind: string, taken: string[]): string {
  if (!taken.includes(kind)) return kind;
  let n = 2;
  while (taken.includes(`${kind}${n}`)) n += 1;
  return `${kind}${n}`;
}

export function MarksStep() {
  const {session, map, go, focus} = usePage();
  const entries = session.job.value.list(['features']) as Entry[];
  const taken = entries.map(e => String(e?.id ?? ''));
  const [open, setOpen] = useState<number | null>(focus.entry ?? null);

  const addPoint = (kind: string) =>
    map.tap(`Tap where the ${kind} stands, about; tapes can be given after`, tap => {
      session.edit(d => append(d, ['features'], {id: freeId(kind, taken), kind, at: tap.at.map(c => Math.round(c * 10) / 10)}));
      setOpen(entries.length);
    });
  const addLine = (kind: string) =>
    map.draw('line', `Tap along the ${kind}, then Done`, drawn =>
      session.edit(d => append(d, ['features'], {id: freeId(kind, taken), kind, line: drawn.map(p => p.map(c => Math.round(c * 10) / 10))})),
    );

  return (
    <>
      <p class="help">Things that do not move, for tapes to start from; trees, for their roots; other utilities, for the one who digs.</p>
      <Palette label="Stands at a point" kinds={points} onPick={addPoint} />
      <Palette label="Runs along a line" kinds={lines} onPick={addLine} />
      <ul class="rows">
        {entries.map((entry, i) =>
          entry?.kind === 'lot' || entry?.kind === 'house' ? null : (
            <li key={i}>
              <button type="button" class="row" aria-expanded={open === i} onClick={() => setOpen(open === i ? null : i)}>
                <i class={`dot ${String(entry?.kind ?? '')}`} aria-hidden="true" />
                <span>{String(entry?.label ?? entry?.id ?? '?')}</span>
                <small>{String(entry?.kind ?? '')}</small>
              </button>
              {open === i ? <MarkForm at={i} kind={String(entry?.kind)} onGone={() => setOpen(null)} /> : <Faults path={['features', i]} />}
            </li>
          ),
        )}
      </ul>
      <Onward words="Where the camera goes in" onGo={() => go('run')} />
    </>
  );
}

function Palette({label, kinds, onPick}: {label: string; kinds: readonly string[]; onPick: (kind: string) => void}) {
  return (
    <fieldset class="choice">
      <legend>{label}</legend>
      <div class="options small">
        {kinds.map(kind => (
          <button type="button" key={kind} onClick={() => onPick(kind)}>
            {kind}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

function MarkForm({at, kind, onGone}: {at: number; kind: string; onGone: () => void}) {
  const {session} = usePage();
  const path = ['features', at] as const;
  const isPoint = session.job.value.at([...path, 'at']) !== undefined;
  return (
    <Opened look="card">
      <Field label="Name" path={[...path, 'label']} placeholder={`the big ${kind}`} />
      {isPoint && <Position label="Where" path={[...path, 'at']} self={session.job.value.typed([...path, 'id'])} />}
      {utilities.has(kind) && (
        <div class="pair">
          <Field label="Depth of cover" path={[...path, 'depth']} kind="length" />
          <Field label="Known to within" path={[...path, 'within']} kind="length" />
        </div>
      )}
      {kind === 'tree' && (
        <div class="pair">
          <Field label="Trunk, at breast height" path={[...path, 'trunk']} kind="length" placeholder="14 in" />
          <Field label="Crown, across" path={[...path, 'spread']} kind="length" />
        </div>
      )}
      <Reshape at={at} />
      <Faults path={path} except={['label', 'at', 'trunk', 'spread']} />
      <button
        type="button"
        class="away"
        onClick={() => {
          session.edit(d => put(d, path, undefined));
          onGone();
        }}
      >
        Take it off the plan
      </button>
    </Opened>
  );
}
