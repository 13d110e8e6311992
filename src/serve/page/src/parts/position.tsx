import {useState} from 'preact/hooks';

import type {ViewFeature} from '../api';
import {type Path, put, scalar} from '../job/text';
import {usePage} from './context';
import {Choice, Faults, Input, Select} from './fields';

type Way = 'ties' | 'tap' | 'along' | 'phone';

/** Names that a tape can start from: every corner, and every feature that is a point. */
export function namedPoints(features: ViewFeature[], without?: string): [string, string][] {
  return features
    .filter(f => f.id !== without && f.kind !== 'lot' && f.kind !== 'right-of-way')
    .concat(features.filter(f => f.id !== without && (f.kind === 'lot' || f.kind === 'right-of-way')))
    .flatMap(f => (f.shape === 'point' ? [[f.id, f.label] as [string, string]] : f.corners.map(c => [`${f.id}.${c.name}`, `${f.label}, ${c.name}`] as [string, string])));
}

/** Edges one can walk along: of areas from corner to corner, and whole lines. */
function namedEdges(features: ViewFeature[]): [string, string][] {
  return features.flatMap(f => {
    if (f.shape === 'line') return [[f.id, f.label] as [string, string]];
    if (f.shape !== 'area') return [];
    return f.corners.flatMap((c, i) => {
      const next = f.corners[(i + 1) % f.corners.length]!;
      const edge = (from: string, to: string) => [`${f.id}.${from}-${to}`, `${f.label}, ${from} to ${to}`] as [string, string];
      return [edge(c.name, next.name), edge(next.name, c.name)];
    });
  });
}

function wayOf(value: unknown): Way {
  if (Array.isArray(value)) return 'tap';
  if (typeof value === 'object' && value !== null) {
    if ('lat' in value) return 'phone';
    if ('off' in value || 'along' in value) return 'along';
  }
  return 'ties';
}

/** A position, said in one of the ways a person on a lawn can measure it. */
export function Position({path, label, self}: {path: Path; label: string; self?: string}) {
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
          ['ties', 'Two tapes'],
          ['along', 'Along & out'],
          ['tap', 'On the map'],
          ['phone', 'Phone'],
        ]}
      />
      {way === 'ties' && <Ties path={path} {...(self === undefined ? {} : {self})} />}
      {way === 'along' && <Along path={path} />}
      {way === 'tap' && <OnMap path={path} />}
      {way === 'phone' && <Phone path={path} />}
      <Faults path={path} />
    </section>
  );
}

function Ties({path, self}: {path: Path; self?: string}) {
  const {session} = usePage();
  const features = session.reply.value?.view?.features ?? [];
  const stored = session.job.value.at([...path, 'ties']);
  const ties = Object.entries(typeof stored === 'object' && stored !== null ? (stored as Record<string, unknown>) : {});
  const side = session.job.value.typed([...path, 'side']);
  const [names, setNames] = useState<[string, string]>([ties[0]?.[0] ?? '', ties[1]?.[0] ?? '']);
  const lengths = [String(ties[0]?.[1] ?? ''), String(ties[1]?.[1] ?? '')];
  const [typed, setTyped] = useState<[string, string]>([lengths[0]!, lengths[1]!]);

  const write = (n: [string, string], t: [string, string], s: string) => {
    setNames(n);
    setTyped(t);
    if (!n[0] || !n[1] || !t[0] || !t[1] || n[0] === n[1]) return;
    const rest = Object.fromEntries(ties.slice(2));
    const value: Record<string, unknown> = {ties: {[n[0]]: scalar(t[0]), [n[1]]: scalar(t[1]), ...rest}};
    if (s) value['side'] = s;
    session.edit(d => put(d, path, value));
  };
  const points = namedPoints(features, self);
  const sides: [string, string][] = [
    ...['north', 'east', 'south', 'west'].map(w => [w, w] as [string, string]),
    ...features.filter(f => f.id !== self).flatMap(f => [[`toward ${f.id}`, `toward ${f.label}`] as [string, string], [`away from ${f.id}`, `away from ${f.label}`] as [string, string]]),
  ];
  return (
    <>
      <div class="pair">
        <Select label="First tape from" value={names[0]} options={points} onPick={v => write([v, names[1]], typed, side)} />
        <Input label="Reads" kind="length" value={typed[0]} onCommit={v => write(names, [v, typed[1]], side)} />
      </div>
      <div class="pair">
        <Select label="Second tape from" value={names[1]} options={points} onPick={v => write([names[0], v], typed, side)} />
        <Input label="Reads" kind="length" value={typed[1]} onCommit={v => write(names, [typed[0], v], side)} />
      </div>
      <Select label="On which side of the line between them" value={side} options={sides} onPick={v => write(names, typed, v)} />
    </>
  );
}

function Along({path}: {path: Path}) {
  const {session} = usePage();
  const features = session.reply.value?.view?.features ?? [];
  const value = (session.job.value.at(path) ?? {}) as Record<string, unknown>;
  const edge = String(value['along'] ?? value['off'] ?? '');
  const toward = (['out', 'in', 'left', 'right'] as const).find(k => k in value);
  const [now, setNow] = useState({edge, go: String(value['go'] ?? ''), toward: toward ?? '', offset: String(toward ? value[toward] : '')});
  const write = (next: typeof now) => {
    setNow(next);
    if (!next.edge || !next.go) return;
    const isEdge = next.edge.includes('.');
    const from = isEdge ? next.edge.slice(0, next.edge.lastIndexOf('-')) : `${next.edge}.1`;
    const entry: Record<string, unknown> = isEdge ? {from, along: next.edge, go: scalar(next.go)} : {off: next.edge, from, go: scalar(next.go)};
    if (next.toward && next.offset) entry[next.toward] = scalar(next.offset);
    session.edit(d => put(d, path, entry));
  };
  const isEdge = now.edge === '' || now.edge.includes('.');
  return (
    <>
      <Select label="Along" value={now.edge} options={namedEdges(features)} onPick={edge => write({...now, edge, toward: ''})} />
      <Input label="Go, from its first corner" kind="length" value={now.go} onCommit={go => write({...now, go})} />
      <div class="pair">
        <Choice
          label="Then"
          value={now.toward}
          onPick={toward => write({...now, toward})}
          options={isEdge ? [['out', 'out'], ['in', 'in']] : [['left', 'left'], ['right', 'right']]}
        />
        <Input label="By" kind="length" value={now.offset} onCommit={offset => write({...now, offset})} />
      </div>
    </>
  );
}

function OnMap({path}: {path: Path}) {
  const {session, map} = usePage();
  const value = session.job.value.at(path);
  const pick = () =>
    map.tap('Tap the place on the map', tap => {
      session.edit(d => put(d, path, tap.corner && !tap.corner.includes('.') ? {on: tap.corner} : tap.at.map(c => Math.round(c * 100) / 100)));
    });
  return (
    <>
      <button type="button" class="wide" onClick={pick}>
        {Array.isArray(value) ? 'Move it on the map' : 'Tap it on the map'}
      </button>
      {Array.isArray(value) && <p class="help">At {value.join(', ')}</p>}
      <WithinField path={path} />
    </>
  );
}

function Phone({path}: {path: Path}) {
  const {session} = usePage();
  const [trouble, setTrouble] = useState('');
  const site = (session.job.value.at(['site']) ?? {}) as Record<string, unknown>;
  const mapped = 'crs' in site || 'anchor' in site;
  const take = () => {
    setTrouble('waiting for a fix …');
    if (!('geolocation' in navigator)) {
      setTrouble('This browser gives no position.');
      return;
    }
    navigator.geolocation.getCurrentPosition(
      fix => {
        setTrouble('');
        const {latitude, longitude, accuracy} = fix.coords;
        // The W3C Geolocation specification gives accuracy as a 95 % radius in metres, which is what `within` means.
        session.edit(d => put(d, path, {lat: Number(latitude.toFixed(7)), lon: Number(longitude.toFixed(7)), within: `${accuracy.toFixed(1)} m`}));
      },
      error => setTrouble(error.message || 'No position.'),
      {enableHighAccuracy: true, timeout: 30000, maximumAge: 0},
    );
  };
  if (!mapped) return <p class="help">The job has a local grid. Give it a `crs` or an `anchor` under Text first, then a phone's position can be placed.</p>;
  return (
    <>
      <button type="button" class="wide" onClick={take}>
        Take this phone's position
      </button>
      <p class="help" role="status">
        {trouble || 'Stand still over the spot, in the open, until the accuracy settles. A phone is rarely better than 10 ft.'}
      </p>
    </>
  );
}

function WithinField({path}: {path: Path}) {
  const {session} = usePage();
  const value = session.job.value.at(path);
  const point = Array.isArray(value) ? value : undefined;
  if (!point) return null;
  return (
    <Input
      label="Sure to within (19 times in 20)"
      kind="length"
      value=""
      onCommit={typed => typed && session.edit(d => put(d, path, {at: point, within: scalar(typed)}))}
    />
  );
}
