import {useState} from 'preact/hooks';

import {useKept} from '../job/kept';
import {append, put, scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Choice, Faults, Field, Input, Onward, Opened, PathChoice} from '../parts/fields';
import {Photo} from '../parts/photo';
import {NoRunYet} from './locates';

const pipes = ['4 in cast iron', '4 in clay', '6 in clay', '4 in PVC', '6 in PVC', '4 in concrete', '6 in concrete', '4 in orangeburg'];
const metricPipes = ['100 mm PVC', '150 mm PVC', '100 mm clay', '150 mm clay', '100 mm cast iron', '150 mm concrete'];
const angles = ['22.5', '45', '60', '72', '90'];
const hands = ['left', 'up', 'down', 'right'] as const;
const handWords = {left: '↰ left', right: 'right ↱', up: '↑ up', down: '↓ down'};

type Panel = 'pipe' | 'bend' | 'see' | 'wye' | 'end';

interface Entry {
  at?: unknown;
  [key: string]: unknown;
}

/** The camera moves, the counter is typed once, and one tap says what is there. */
export function LogStep({run}: {run: number}) {
  const {session, focus, go} = usePage();
  const job = session.job.value;
  const path = ['runs', run, 'log'] as const;
  const entries = job.list(path) as Entry[];
  const [counter, setCounter] = useKept(session.name, `counter-${run}`, '');
  const [panel, setPanel] = useState<Panel | null>(null);
  const [open, setOpen] = useState<number | null>(focus.entry ?? null);
  const [said, setSaid] = useState('');
  const metric = job.typed(['site', 'units']) === 'm';

  if (job.at(['runs', run]) === undefined) return <NoRunYet />;

  const add = (entry: Record<string, unknown>) => {
    session.edit(d => append(d, path, {at: scalar(counter), ...entry}));
    setSaid(`Written down: ${counter}, ${describe(entry)}`);
    setPanel(null);
  };
  const ready = counter !== '';
  const number = (entry: Entry) => Number.parseFloat(String(entry?.at ?? 0)) || 0;
  const order = entries.map((entry, index) => ({entry, index})).sort((a, b) => number(a.entry) - number(b.entry));

  return (
    <>
      <div class="counter">
        <Input label="Counter now" kind="length" value={counter} onCommit={setCounter} onType={setCounter} />
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
      {panel === 'pipe' && <Words words={metric ? metricPipes : pipes} other="Another size and material" onPick={pipe => add({pipe})} />}
      {panel === 'see' && <SeePad onPick={add} />}
      {panel === 'wye' && <Words words={['left', 'right', 'up']} onPick={wye => add({wye})} />}
      {panel === 'end' && <Words words={['city main', 'blockage', 'end of cable', 'clean-out']} onPick={end => add({end})} />}
      <p class="help" role="status">
        {said || (ready ? 'Tap what the camera shows at this counter.' : 'Type the counter first; it stays until you change it.')}
      </p>
      <ol class="strip">
        {order.map(({entry, index}) => (
          <li key={index} class={kindOf(entry)}>
            <button type="button" class="row" aria-expanded={open === index} onClick={() => setOpen(open === index ? null : index)}>
              <b>{String(entry?.at ?? '')}</b>
              <span>{describe(entry)}</span>
              {entry?.['act'] === 'dig' && <small class="tag dig">dig</small>}
              {entry?.['act'] === 'watch' && <small class="tag">watch</small>}
            </button>
            {open === index ? (
              <EntryForm path={[...path, index]} onGone={() => setOpen(null)} photo={`${job.typed(['runs', run, 'id'])}-${String(entry?.at ?? '')}`} />
            ) : (
              <Faults path={[...path, index]} />
            )}
          </li>
        ))}
      </ol>
      <Onward words="To the locates" onGo={() => go('locates')} />
    </>
  );
}

function kindOf(entry: Entry): string {
  const kind = (['end', 'bend', 'wye', 'pipe', 'see', 'joint'] as const).find(k => entry?.[k] !== undefined) ?? 'see';
  return kind === 'bend' ? `bend ${String(entry['bend']).split(' ')[0] ?? ''}` : kind;
}

function describe(entry: Entry): string {
  const parts = Object.entries(entry ?? {}).filter(([key]) => !['at', 'photo', 'act', 'note'].includes(key));
  return parts.map(([key, value]) => (key === 'see' || key === 'pipe' ? String(value) : `${key} ${String(value)}`)).join(', ');
}

function Words({words, other, onPick}: {words: readonly string[]; other?: string; onPick: (word: string) => void}) {
  return (
    <Opened look="panel">
      <div class="options">
        {words.map(word => (
          <button type="button" key={word} onClick={() => onPick(word)}>
            {word}
          </button>
        ))}
      </div>
      {other && <Input label={other} value="" onCommit={word => word && onPick(word)} />}
    </Opened>
  );
}

/** Left on the left, right on the right, as on the screen of the camera. */
function BendPad({now, onPick}: {now?: string; onPick: (bend: string) => void}) {
  const [hand, degrees = ''] = (now ?? ' 45').split(' ');
  const [angle, setAngle] = useState(degrees);
  const say = (h: string, a: string) => onPick(`${h}${a ? ` ${a}` : ''}`);
  return (
    <Opened look="panel">
      <Choice
        label="Angle, degrees"
        value={angle}
        onPick={a => {
          setAngle(a);
          if (hand) say(hand, a);
        }}
        options={[...angles.map(a => [a, a] as const), ['', 'not known']]}
      />
      <div class="hands" role="group" aria-label="The pipe bends, as the camera travels">
        {hands.map(h => (
          <button type="button" key={h} class={h} aria-pressed={hand === h} onClick={() => say(h, angle)}>
            {handWords[h]}
          </button>
        ))}
      </div>
    </Opened>
  );
}

const acts = [
  ['none', 'nothing'],
  ['watch', 'watch'],
  ['dig', 'dig'],
] as const;

function SeePad({onPick}: {onPick: (entry: Record<string, unknown>) => void}) {
  const [words, setWords] = useState('');
  const [act, setAct] = useState<'none' | 'watch' | 'dig'>('none');
  const quick = ['roots at joint', 'crack', 'offset joint', 'belly, standing water', 'hole, soil visible', 'scale', 'grease'];
  return (
    <Opened look="panel">
      <div class="options small">
        {quick.map(q => (
          <button type="button" key={q} onClick={() => setWords(words ? `${words}, ${q}` : q)}>
            {q}
          </button>
        ))}
      </div>
      <Input label="In words" value={words} onCommit={setWords} onType={setWords} />
      <Choice label="What is to be done" value={act} onPick={setAct} options={acts} />
      <button type="button" class="wide do" disabled={words === ''} onClick={() => onPick(act === 'none' ? {see: words} : {see: words, act})}>
        Write it down
      </button>
    </Opened>
  );
}

const shown = ['at', 'pipe', 'joint', 'see', 'wye', 'end', 'act', 'photo', 'note'] as const;

function EntryForm({path, photo, onGone}: {path: readonly (string | number)[]; photo: string; onGone: () => void}) {
  const {session} = usePage();
  const job = session.job.value;
  const has = (key: string) => job.at([...path, key]) !== undefined;
  const labels = {pipe: 'Pipe', joint: 'Joint', see: 'Seen', wye: 'Wye', end: 'End'} as const;
  return (
    <Opened look="card">
      <Field label="Counter" path={[...path, 'at']} kind="length" />
      {has('bend') && <BendPad now={job.typed([...path, 'bend'])} onPick={bend => session.edit(d => put(d, [...path, 'bend'], bend))} />}
      {(['pipe', 'joint', 'see', 'wye', 'end'] as const).filter(has).map(key => (
        <Field key={key} label={labels[key]} path={[...path, key]} />
      ))}
      {has('see') || has('joint') ? <PathChoice label="What is to be done" path={[...path, 'act']} otherwise="none" options={acts} /> : null}
      <Field label="Note" path={[...path, 'note']} />
      <Photo path={[...path, 'photo']} name={photo} />
      <Faults path={path} except={shown} />
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
    </Opened>
  );
}
