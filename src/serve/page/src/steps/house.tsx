import {useState} from 'preact/hooks';

import {useKept} from '../job/kept';
import {scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Choice, Faults, Input, Onward} from '../parts/fields';
import {Reshape} from '../parts/reshape';
import {indexOfKind, putFeature} from './lot';

type Way = 'box' | 'walls' | 'draw';

export function HouseStep() {
  const {session, go} = usePage();
  const at = indexOfKind(session.job.value, 'house');
  const [way, setWay] = useState<Way | undefined>(at >= 0 ? undefined : 'box');
  return (
    <>
      {at >= 0 && <p class="done">The house is drawn.</p>}
      <p class="help">Its corners are what tapes start from, so measure them with care.</p>
      <Choice
        label={at >= 0 ? 'Say its shape anew' : 'How is it shaped?'}
        value={way}
        onPick={setWay}
        options={[
          ['box', 'A rectangle'],
          ['walls', 'Wall by wall'],
          ['draw', 'Draw it'],
        ]}
      />
      {way === 'box' && <Box onDone={() => setWay(undefined)} />}
      {way === 'walls' && <Walls onDone={() => setWay(undefined)} />}
      {way === 'draw' && <Drawn onDone={() => setWay(undefined)} />}
      {at >= 0 && <Reshape at={at} />}
      {at >= 0 && <Faults path={['features', at]} />}
      <Onward words="To the fixed marks" onGo={() => go('marks')} />
    </>
  );
}

/** Where the house stands: its front left corner from the lot's, along the front and back from it. */
function useStart() {
  const front = usePage().session.reply.value?.view?.front ?? null;
  return {
    from: front ? `${front.lot}.${front.left}` : '',
    along: front ? `${front.lot}.${front.left}-${front.right}` : '',
    ready: front !== null,
    // The first wall runs straight in from the street.
    heading: front?.up ?? 0,
  };
}

function Box({onDone}: {onDone: () => void}) {
  const {session} = usePage();
  const start = useStart();
  const [size, setSize] = useKept(session.name, 'house-box', {go: '', back: '', wide: '', deep: ''});
  const set = (key: keyof typeof size) => (value: string) => setSize({...size, [key]: value});
  const make = () => {
    session.edit(doc =>
      putFeature(doc, session.job.value, 'house', {
        id: 'house',
        kind: 'house',
        walls: {
          start: {from: start.from, along: start.along, go: scalar(size.go), in: scalar(size.back)},
          heading: start.heading,
          legs: [size.deep, `R ${size.wide}`, `R ${size.deep}`, `R ${size.wide}`],
          corners: ['fl', 'bl', 'br', 'fr'],
        },
      }),
    );
    onDone();
  };
  const ready = start.ready && Object.values(size).every(v => v !== '');
  return (
    <>
      {!start.ready && <p class="help">Draw the lot first and say which of its sides lies along the street; or draw the house on the map.</p>}
      <div class="pair">
        <Input label="Along the front, from the lot's left corner" kind="length" value={size.go} onCommit={set('go')} onType={set('go')} />
        <Input label="Back from the front line" kind="length" value={size.back} onCommit={set('back')} onType={set('back')} />
      </div>
      <div class="pair">
        <Input label="House across" kind="length" value={size.wide} onCommit={set('wide')} onType={set('wide')} />
        <Input label="House front to back" kind="length" value={size.deep} onCommit={set('deep')} onType={set('deep')} />
      </div>
      <button type="button" class="wide do" disabled={!ready} onClick={make}>
        Draw the house
      </button>
    </>
  );
}

function Walls({onDone}: {onDone: () => void}) {
  const {session} = usePage();
  const start = useStart();
  const [draft, setDraft] = useKept(session.name, 'house-walls', {go: '', back: '', legs: [] as string[]});
  const {go, back, legs} = draft;
  const setGo = (value: string) => setDraft({...draft, go: value});
  const setBack = (value: string) => setDraft({...draft, back: value});
  const setLegs = (value: string[]) => setDraft({...draft, legs: value});
  const [turn, setTurn] = useState<'' | 'L' | 'R'>('R');
  const make = () => {
    session.edit(doc =>
      putFeature(doc, session.job.value, 'house', {
        id: 'house',
        kind: 'house',
        walls: {start: {from: start.from, along: start.along, go: scalar(go), in: scalar(back)}, heading: start.heading, legs},
      }),
    );
    onDone();
  };
  return (
    <>
      <p class="help">Begin at the front left corner, walk toward the back with the wall on your right, and say each wall.</p>
      <div class="pair">
        <Input label="Along the front to that corner" kind="length" value={go} onCommit={setGo} onType={setGo} />
        <Input label="Back from the front line" kind="length" value={back} onCommit={setBack} onType={setBack} />
      </div>
      <ol class="legs">
        {legs.map((leg, i) => (
          <li key={i}>{leg.startsWith('R') ? `right, ${leg.slice(2)}` : leg.startsWith('L') ? `left, ${leg.slice(2)}` : `straight, ${leg}`}</li>
        ))}
      </ol>
      {legs.length > 0 && <Choice label="Turn" value={turn} onPick={setTurn} options={[['L', 'left'], ['R', 'right']]} />}
      <Input label={legs.length === 0 ? 'First wall' : 'Then the wall is'} kind="length" value="" onCommit={v => v && setLegs([...legs, legs.length === 0 ? v : `${turn} ${v}`])} />
      <div class="pair">
        <button type="button" disabled={legs.length === 0} onClick={() => setLegs(legs.slice(0, -1))}>
          Take the last back
        </button>
        <button type="button" class="do" disabled={!start.ready || legs.length < 3 || !go || !back} onClick={make}>
          Draw the house
        </button>
      </div>
    </>
  );
}

function Drawn({onDone}: {onDone: () => void}) {
  const {session, map} = usePage();
  const draw = () =>
    map.draw('area', 'Tap the corners of the house; tap the first again to close', points => {
      session.edit(doc => putFeature(doc, session.job.value, 'house', {id: 'house', kind: 'house', area: points.map(p => p.map(c => Math.round(c * 10) / 10))}));
      onDone();
    });
  return (
    <button type="button" class="wide do" onClick={draw}>
      Draw the corners
    </button>
  );
}
