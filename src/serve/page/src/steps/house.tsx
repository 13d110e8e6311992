import {useState} from 'preact/hooks';

import {scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Choice, Faults, Input} from '../parts/fields';
import {indexOfKind, putFeature} from './lot';

type Way = 'box' | 'walls' | 'draw';

export function HouseStep() {
  const {session} = usePage();
  const at = indexOfKind(session.job.value, 'house');
  const [way, setWay] = useState<Way | undefined>(at >= 0 ? undefined : 'box');
  return (
    <>
      <h3>The house{at >= 0 ? ' is drawn' : ''}</h3>
      <p class="help">Its corners are what tapes start from, so measure them with care.</p>
      <Choice
        label={at >= 0 ? 'Say it anew' : 'How is it shaped?'}
        value={way}
        onPick={setWay}
        options={[
          ['box', 'A rectangle'],
          ['walls', 'Wall by wall'],
          ['draw', 'Draw it'],
        ]}
      />
      {way === 'box' && <Box />}
      {way === 'walls' && <Walls />}
      {way === 'draw' && <Drawn />}
      {at >= 0 && <Faults path={['features', at]} />}
    </>
  );
}

/** Where the house stands: its front left corner from the lot's, along the front and back from it. */
function useStart() {
  const {session} = usePage();
  const job = session.job.value;
  const lot = indexOfKind(job, 'lot');
  const id = lot < 0 ? '' : job.typed(['features', lot, 'id']);
  const corners = session.reply.value?.view?.features.find(f => f.id === id)?.corners ?? [];
  const edge = lot < 0 ? '' : job.typed(['features', lot, 'street']) || (corners.length > 1 ? `${corners[0]!.name}-${corners[1]!.name}` : '');
  const [from, to] = edge.split('-');
  const a = corners.find(c => c.name === from)?.at;
  const b = corners.find(c => c.name === to)?.at;
  // Azimuth of the front edge as the map shows it; the first wall runs back from it, a quarter to the left.
  const front = a && b ? (Math.atan2(b[0] - a[0], b[1] - a[1]) * 180) / Math.PI : undefined;
  return {from: `${id}.${from}`, along: `${id}.${edge}`, ready: front !== undefined, front: front ?? 90, name: from ?? ''};
}

const azimuth = (degrees: number) => Math.round((((degrees % 360) + 360) % 360) * 1000) / 1000;

function Box() {
  const {session} = usePage();
  const start = useStart();
  const [size, setSize] = useState({go: '', back: '', wide: '', deep: ''});
  const set = (key: keyof typeof size) => (value: string) => setSize({...size, [key]: value});
  const make = () =>
    session.edit(doc =>
      putFeature(doc, session.job.value, 'house', {
        id: 'house',
        kind: 'house',
        walls: {
          start: {from: start.from, along: start.along, go: scalar(size.go), in: scalar(size.back)},
          heading: azimuth(start.front - 90),
          legs: [size.deep, `R ${size.wide}`, `R ${size.deep}`, `R ${size.wide}`],
          corners: ['fl', 'bl', 'br', 'fr'],
        },
      }),
    );
  const ready = start.ready && Object.values(size).every(v => v !== '');
  return (
    <>
      <div class="pair">
        <Input label={`Along the front, from the lot's ${start.name || 'first'} corner`} kind="length" value={size.go} onCommit={set('go')} />
        <Input label="Back from the front line" kind="length" value={size.back} onCommit={set('back')} />
      </div>
      <div class="pair">
        <Input label="House across" kind="length" value={size.wide} onCommit={set('wide')} />
        <Input label="House front to back" kind="length" value={size.deep} onCommit={set('deep')} />
      </div>
      <button type="button" class="wide do" disabled={!ready} onClick={make}>
        Draw the house
      </button>
    </>
  );
}

function Walls() {
  const {session} = usePage();
  const start = useStart();
  const [go, setGo] = useState('');
  const [back, setBack] = useState('');
  const [legs, setLegs] = useState<string[]>([]);
  const [turn, setTurn] = useState<'' | 'L' | 'R'>('R');
  const make = () =>
    session.edit(doc =>
      putFeature(doc, session.job.value, 'house', {
        id: 'house',
        kind: 'house',
        walls: {start: {from: start.from, along: start.along, go: scalar(go), in: scalar(back)}, heading: azimuth(start.front - 90), legs},
      }),
    );
  return (
    <>
      <p class="help">Begin at the front left corner, walk toward the back with the wall on your right, and say each wall.</p>
      <div class="pair">
        <Input label="Along the front to that corner" kind="length" value={go} onCommit={setGo} />
        <Input label="Back from the front line" kind="length" value={back} onCommit={setBack} />
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

function Drawn() {
  const {session, map} = usePage();
  const draw = () =>
    map.draw('area', 'Tap the corners of the house; tap the first again to close', points =>
      session.edit(doc => putFeature(doc, session.job.value, 'house', {id: 'house', kind: 'house', area: points.map(p => p.map(c => Math.round(c * 10) / 10))})),
    );
  return (
    <button type="button" class="wide do" onClick={draw}>
      Draw the corners
    </button>
  );
}
