import {useEffect, useState} from 'preact/hooks';

import type {Pair} from '../api';
import {useKept} from '../job/kept';
import {type Path, put, scalar} from '../job/text';
import {usePage} from './context';
import {Choice, Faults, Input, Select} from './fields';
import {namedEdges, namedPoints, namedSides} from './named';

type Way = 'ties' | 'along' | 'tap' | 'earth';

function wayOf(value: unknown): Way {
  if (Array.isArray(value)) return 'tap';
  if (typeof value === 'object' && value !== null) {
    if ('lat' in value) return 'earth';
    if ('at' in value || 'on' in value) return 'tap';
    if ('off' in value || 'along' in value) return 'along';
  }
  return 'ties';
}

interface PositionShape {
  path: Path;
  label: string;
  /** Name of the feature that is being placed: it cannot be measured from itself. */
  self?: string;
  /** Names under which the last tapes are remembered for the next position of this sort. */
  memory?: string;
}

/** A position, said in one of the ways a person on a lawn can measure it. */
export function Position({path, label, self, memory = 'ties'}: PositionShape) {
  const {session} = usePage();
  const value = session.job.value.at(path);
  const [way, setWay] = useState<Way>(wayOf(value));
  return (
    <section class="position" aria-label={label}>
      <Choice
        label={label}
        value={way}
        onPick={setWay}
        options={[
          ['ties', 'By tapes'],
          ['along', 'Along & out'],
          ['tap', 'On the map'],
          ['earth', 'Satellite'],
        ]}
      />
      {way === 'ties' && <Ties path={path} memory={memory} {...(self === undefined ? {} : {self})} />}
      {way === 'along' && <Along path={path} />}
      {way === 'tap' && <OnMap path={path} />}
      {way === 'earth' && <OnEarth path={path} />}
      <Faults path={path} />
    </section>
  );
}

interface Tape {
  from: string;
  reads: string;
}

interface TiesDraft {
  tapes: Tape[];
  side: string;
}

function tiesOf(value: unknown): TiesDraft | null {
  if (typeof value !== 'object' || value === null || !('ties' in value)) return null;
  const {ties, side} = value as {ties: unknown; side?: unknown};
  const tapes = Object.entries((ties ?? {}) as Record<string, unknown>).map(([from, reads]) => ({from, reads: String(reads ?? '')}));
  return {tapes, side: String(side ?? '')};
}

function Ties({path, self, memory}: {path: Path; self?: string; memory: string}) {
  const {session} = usePage();
  const features = session.reply.value?.view?.features ?? [];
  const stored = tiesOf(session.job.value.at(path));
  const [last, keepLast] = useKept<{from: string[]; side: string}>(session.name, `${memory}-from`, {from: [], side: ''});
  const points = namedPoints(features, self);
  const sides = namedSides(features, self);
  const house = points.filter(([key]) => /\.(fl|fr|sw|se)$/.test(key)).map(([key]) => key);
  const usual = (i: number) => last.from[i] ?? house[i] ?? '';
  // Names chosen before their lengths are measured have no place in the job yet.
  const [chosen, setChosen] = useState<Record<number, string>>({});
  const [typed, setTyped] = useState<Record<number, string>>({});
  const [more, setMore] = useState(0);

  const count = Math.max(2, stored?.tapes.length ?? 0) + more;
  const tapes = Array.from({length: count}, (_, i) => ({
    from: chosen[i] ?? stored?.tapes[i]?.from ?? usual(i),
    reads: typed[i] ?? stored?.tapes[i]?.reads ?? '',
  }));
  const side = stored?.side || last.side || sides[0]?.[0] || '';

  useEffect(() => {
    setChosen({});
    setTyped({});
  }, [JSON.stringify(stored)]);

  const write = (next: Tape[], nextSide: string) => {
    const whole = next.filter(t => t.from && t.reads);
    if (whole.length === 0) return;
    const ties = Object.fromEntries(whole.map(t => [t.from, scalar(t.reads)]));
    session.edit(d => put(d, path, whole.length === 2 && nextSide ? {ties, side: nextSide} : {ties}));
    keepLast({from: next.map(t => t.from), side: nextSide});
    setMore(Math.max(0, next.length - Math.max(2, whole.length)));
  };
  const change = (i: number, part: Partial<Tape>) => {
    if (part.from !== undefined) setChosen({...chosen, [i]: part.from});
    if (part.reads !== undefined) setTyped({...typed, [i]: part.reads});
    write(
      tapes.map((t, k) => (k === i ? {...t, ...part} : t)),
      side,
    );
  };
  return (
    <>
      {tapes.map((tape, i) => (
        <div class="pair tape" key={i}>
          <Select label={`Tape ${i + 1} from`} value={tape.from} options={points} onPick={from => change(i, {from})} />
          <Input label={`Tape ${i + 1} reads`} kind="length" value={tape.reads} onCommit={reads => change(i, {reads})} />
        </div>
      ))}
      {tapes[0]!.from !== '' && tapes[0]!.from === tapes[1]!.from && <p class="warning">Both tapes start from the same point.</p>}
      {count === 2 ? (
        <Select label="On which side of the line between the two" value={side} options={sides} onPick={v => write(tapes, v)} />
      ) : (
        <p class="help">With three tapes no side need be said.</p>
      )}
      <button type="button" class="quiet" onClick={() => setMore(more + 1)}>
        + another tape
      </button>
    </>
  );
}

function Along({path}: {path: Path}) {
  const {session} = usePage();
  const features = session.reply.value?.view?.features ?? [];
  const value = (session.job.value.at(path) ?? {}) as Record<string, unknown>;
  const stored = {
    edge: String(value['along'] ?? value['off'] ?? ''),
    go: String(value['go'] ?? ''),
    toward: (['out', 'in', 'left', 'right'] as const).find(k => k in value) ?? '',
  };
  const [draft, setDraft] = useState<Partial<typeof stored & {offset: string}>>({});
  const now = {...stored, offset: stored.toward ? String(value[stored.toward]) : '', ...draft};
  const onEdge = now.edge === '' || now.edge.includes('.');
  const write = (part: Partial<typeof now>) => {
    const next = {...now, ...part};
    setDraft({...draft, ...part});
    if (!next.edge || !next.go) return;
    const isEdge = next.edge.includes('.');
    const from = isEdge ? next.edge.slice(0, next.edge.lastIndexOf('-')) : `${next.edge}.1`;
    const entry: Record<string, unknown> = isEdge ? {along: next.edge, from, go: scalar(next.go)} : {off: next.edge, from, go: scalar(next.go)};
    if (next.toward && next.offset) entry[next.toward] = scalar(next.offset);
    session.edit(d => put(d, path, entry));
    setDraft(next.toward && !next.offset ? {toward: next.toward} : {});
  };
  return (
    <>
      <Select label="Along" value={now.edge} options={namedEdges(features)} onPick={edge => write({edge, toward: '', offset: ''})} />
      <Input label="Go, from its first end" kind="length" value={now.go} onCommit={go => write({go})} />
      <Choice label="Then" value={now.toward} onPick={toward => write({toward})} options={onEdge ? [['out', 'out'], ['in', 'in']] : [['left', 'left'], ['right', 'right']]} />
      <Input label="By" kind="length" value={now.offset} onCommit={offset => write({offset, toward: now.toward || (onEdge ? 'out' : 'left')})} />
    </>
  );
}

const rounded = (at: Pair): Pair => [Math.round(at[0] * 100) / 100, Math.round(at[1] * 100) / 100];

function OnMap({path}: {path: Path}) {
  const {session, map} = usePage();
  const value = session.job.value.at(path);
  const point = Array.isArray(value) ? value : typeof value === 'object' && value !== null && 'at' in value ? (value as {at: unknown}).at : undefined;
  const on = typeof value === 'object' && value !== null && 'on' in value ? String((value as {on: unknown}).on) : '';
  const within = session.job.value.typed([...path, 'within']);
  const write = (at: unknown, sure: string) => session.edit(d => put(d, path, sure ? {at, within: scalar(sure)} : at));
  const pick = () =>
    map.tap('Tap the place', tap => {
      if (tap.corner && !tap.corner.includes('.')) session.edit(d => put(d, path, {on: tap.corner}));
      else write(rounded(tap.at), within);
    });
  return (
    <>
      <button type="button" class="wide do" onClick={pick}>
        {point || on ? 'Tap another place' : 'Tap the place on the map'}
      </button>
      {on && <p class="help">It is at the {on}.</p>}
      {Array.isArray(point) && (
        <>
          <p class="help">At {point.join(', ')} of the plan's own grid.</p>
          <Input label="Sure to within, 19 times in 20" kind="length" value={within} onCommit={sure => write(point, sure)} />
        </>
      )}
    </>
  );
}

/** Latitude and longitude, by the phone itself or typed off another receiver. */
function OnEarth({path}: {path: Path}) {
  const {session} = usePage();
  const [trouble, setTrouble] = useState('');
  const stored = (session.job.value.at(path) ?? {}) as Record<string, unknown>;
  const [draft, setDraft] = useState<{lat?: string; lon?: string; within?: string}>({});
  const show = (key: 'lat' | 'lon' | 'within') => draft[key] ?? String(stored[key] ?? '');
  const site = (session.job.value.at(['site']) ?? {}) as Record<string, unknown>;
  const write = (part: typeof draft) => {
    const next = {lat: show('lat'), lon: show('lon'), within: show('within'), ...part};
    setDraft({...draft, ...part});
    if (!next.lat || !next.lon) return;
    session.edit(d => put(d, path, {lat: scalar(next.lat), lon: scalar(next.lon), ...(next.within ? {within: scalar(next.within)} : {})}));
    setDraft({});
  };
  const take = () => takeFix(setTrouble, fix => write(fix));
  if (!('crs' in site || 'anchor' in site)) {
    return <p class="help">This job has a grid of its own. Say under Lot where it lies on the earth; then a satellite position can be placed on it.</p>;
  }
  return (
    <>
      <button type="button" class="wide do" onClick={take}>
        Take this phone's position
      </button>
      <p class="help" role="status">
        {trouble || 'Stand still over the spot, in the open. A phone is rarely better than 10 ft.'}
      </p>
      <div class="pair">
        <Input label="Latitude" kind="number" value={show('lat')} onCommit={lat => write({lat})} />
        <Input label="Longitude" kind="number" value={show('lon')} onCommit={lon => write({lon})} />
      </div>
      <Input label="Sure to within, 19 times in 20" kind="length" value={show('within')} onCommit={within => write({within})} />
    </>
  );
}

/** Asks the phone where it is. `within` is the accuracy it claims. */
export function takeFix(say: (words: string) => void, done: (fix: {lat: string; lon: string; within: string}) => void): void {
  if (!('geolocation' in navigator)) {
    say('This browser gives no position. Type it from another receiver.');
    return;
  }
  say('waiting for the satellites …');
  navigator.geolocation.getCurrentPosition(
    fix => {
      say('');
      const {latitude, longitude, accuracy} = fix.coords;
      // The W3C Geolocation specification gives accuracy as a 95 % radius in metres, which is what `within` means.
      done({lat: latitude.toFixed(7), lon: longitude.toFixed(7), within: `${accuracy.toFixed(1)} m`});
    },
    error => say(error.message || 'No position.'),
    {enableHighAccuracy: true, timeout: 30000, maximumAge: 0},
  );
}
