import {useState} from 'preact/hooks';

import {append, put, scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Choice, Faults, Field, Input, PathChoice} from '../parts/fields';

const pipes = ['4 in cast iron', '4 in clay', '6 in clay', '4 in PVC', '6 in PVC', '4 in concrete', '6 in concrete', '4 in orangeburg'];
const metricPipes = ['100 mm PVC', '150 mm PVC', '100 mm clay', '150 mm clay', '100 mm cast iron', '150 mm concrete'];
const angles = ['22.5', '45', '60', '72', '90'];

type Panel = 'pipe' | 'bend' | 'see' | 'wye' | 'end';

interface Entry {
  at?: unknown;
  [key: string]: unknown;
}

/** The camera moves, the counter is typed once, and one tap says what is there. */
export function LogStep({run}: {run: number}) {
  const {session} = usePage();
  const job = session.job.value;
  const path = ['runs', run, 'log'] as const;
  const entries = job.list(path) as Entry[];
  const [counter, setCounter] = useState('');
  const [panel, setPanel] = useState<Panel | null>(null);
  const [open, setOpen] = useState<number | null>(null);
  const metric = job.typed(['site', 'units']) === 'm';

  if (job.at(['runs', run]) === undefined) return <p class="help">First say where the camera goes in.</p>;

  const add = (entry: Record<string, unknown>) => {
    session.edit(d => append(d, path, {at: scalar(counter), ...entry}));
    setPanel(null);
  };
  const ready = counter !== '';
  const order = entries.map((entry, index) => ({entry, index})).sort((a, b) => Number(a.entry?.at ?? 0) - Number(b.entry?.at ?? 0));

  return (
    <>
      <div class="counter">
        <Input label="Counter" kind="length" value={counter} onCommit={setCounter} />
      </div>
      <div class="pad" role="group" aria-label="What is at this counter">
        {(
          [
            ['bend', 'Bend'],
            ['pipe', 'Pipe'],
            ['see', 'See'],
            ['wye', 'Wye'],
            ['end', 'End'],
          ] as const
        ).map(([key, words]) => (
          <button type="button" key={key} disabled={!ready} aria-pressed={panel === key} onClick={() => setPanel(panel === key ? null : key)}>
            {words}
          </button>
        ))}
        <button type="button" disabled={!ready} onClick={() => add({joint: 'offset'})}>
          Joint offset
        </button>
      </div>
      {panel === 'bend' && <BendPad onPick={bend => add({bend})} />}
      {panel === 'pipe' && <Buttons words={metric ? metricPipes : pipes} onPick={pipe => add({pipe})} />}
      {panel === 'see' && <SeePad onPick={add} />}
      {panel === 'wye' && <Buttons words={['left', 'right', 'up']} onPick={wye => add({wye})} />}
      {panel === 'end' && <Buttons words={['city main', 'blockage', 'end of cable', 'clean-out']} onPick={end => add({end})} />}
      <ol class="rows log">
        {order.map(({entry, index}) => (
          <li key={index}>
            <button type="button" class="row" aria-expanded={open === index} onClick={() => setOpen(open === index ? null : index)}>
              <b>{String(entry?.at ?? '')}</b>
              <span>{describe(entry)}</span>
            </button>
            {open === index ? <EntryForm path={[...path, index]} onGone={() => setOpen(null)} /> : <Faults path={[...path, index]} />}
          </li>
        ))}
      </ol>
    </>
  );
}

function describe(entry: Entry): string {
  const parts = Object.entries(entry ?? {}).filter(([key]) => key !== 'at' && key !== 'photo');
  return parts.map(([key, value]) => (key === 'see' || key === 'joint' ? String(value) : `${key} ${String(value)}`)).join(', ');
}

function Buttons({words, onPick}: {words: readonly string[]; onPick: (word: string) => void}) {
  return (
    <div class="options panel">
      {words.map(word => (
        <button type="button" key={word} onClick={() => onPick(word)}>
          {word}
        </button>
      ))}
    </div>
  );
}

/** Left on the left, right on the right, as on the screen of the camera. */
function BendPad({onPick}: {onPick: (bend: string) => void}) {
  const [angle, setAngle] = useState('45');
  return (
    <div class="panel">
      <Choice label="Angle, degrees" value={angle} onPick={setAngle} options={[...angles.map(a => [a, a] as const), ['', '?']]} />
      <div class="hands">
        {(['left', 'up', 'down', 'right'] as const).map(hand => (
          <button type="button" key={hand} class={hand} onClick={() => onPick(`${hand}${angle ? ` ${angle}` : ''}`)}>
            {{left: '↰ left', right: 'right ↱', up: '↑ up', down: '↓ down'}[hand]}
          </button>
        ))}
      </div>
    </div>
  );
}

function SeePad({onPick}: {onPick: (entry: Record<string, unknown>) => void}) {
  const [words, setWords] = useState('');
  const [act, setAct] = useState<'none' | 'watch' | 'dig'>('none');
  const quick = ['roots at joint', 'crack', 'offset joint', 'belly, standing water', 'hole, soil visible', 'scale', 'grease'];
  return (
    <div class="panel">
      <div class="options small">
        {quick.map(q => (
          <button type="button" key={q} onClick={() => setWords(words ? `${words}, ${q}` : q)}>
            {q}
          </button>
        ))}
      </div>
      <Input label="In words" value={words} onCommit={setWords} />
      <Choice label="What is to be done" value={act} onPick={setAct} options={[['none', 'nothing'], ['watch', 'watch'], ['dig', 'dig']]} />
      <button type="button" class="wide do" disabled={words === ''} onClick={() => onPick(act === 'none' ? {see: words} : {see: words, act})}>
        Write it down
      </button>
    </div>
  );
}

function EntryForm({path, onGone}: {path: readonly (string | number)[]; onGone: () => void}) {
  const {session} = usePage();
  const job = session.job.value;
  const has = (key: string) => job.at([...path, key]) !== undefined;
  return (
    <div class="card">
      <Field label="Counter" path={[...path, 'at']} kind="length" />
      {(['pipe', 'bend', 'joint', 'see', 'wye', 'end'] as const).filter(has).map(key => (
        <Field key={key} label={key} path={[...path, key]} />
      ))}
      {has('see') || has('joint') ? (
        <PathChoice label="What is to be done" path={[...path, 'act']} otherwise="none" options={[['none', 'nothing'], ['watch', 'watch'], ['dig', 'dig']]} />
      ) : null}
      <Field label="Photo beside the job" path={[...path, 'photo']} />
      <Field label="Note" path={[...path, 'note']} />
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
