import {useState} from 'preact/hooks';

import {useKept} from '../job/kept';
import {put, scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Card, Faults, Input, Select} from '../parts/fields';
import {namedPoints} from '../parts/named';
import {takeFix} from '../parts/position';

/** How the plan's own grid lies on the earth: one corner by satellite and one compass bearing. */
export function EarthCard() {
  const {session} = usePage();
  const job = session.job.value;
  const features = session.reply.value?.view?.features ?? [];
  const [draft, setDraft] = useKept(session.name, 'earth', {corner: '', lat: '', lon: '', bearing: ''});
  const [trouble, setTrouble] = useState('');
  const set = (part: Partial<typeof draft>) => setDraft({...draft, ...part});
  const crs = job.typed(['site', 'crs']);
  const has = job.at(['site', 'anchor']) !== undefined;
  if (features.length === 0) return null;
  if (crs) return null;
  const places = new Map(features.flatMap(f => (f.shape === 'point' ? [[f.id, f.parts[0]] as const] : f.corners.map(c => [`${f.id}.${c.name}`, c.at] as const))));
  const grid = places.get(draft.corner) as [number, number] | undefined;
  const up = session.reply.value?.view?.front?.up ?? 0;
  const make = () =>
    session.edit(d =>
      put(d, ['site', 'anchor'], {
        grid,
        lat: scalar(draft.lat),
        lon: scalar(draft.lon),
        ...(draft.bearing ? {grid_north: Math.round((((Number(draft.bearing) - up) % 360) + 360) % 360 * 100) / 100} : {}),
      }),
    );
  const good = grid !== undefined && draft.lat !== '' && draft.lon !== '' && (draft.bearing === '' || Number.isFinite(Number(draft.bearing)));
  return (
    <Card title={has ? 'The lot has its place on the earth' : 'Where on the earth'}>
      <p class="help">Needed for maps (GeoJSON, KML) and for satellite positions; not for a drawing by tape.</p>
      <Select label="Stand at" value={draft.corner} options={namedPoints(features)} onPick={corner => set({corner})} />
      <button type="button" class="wide" onClick={() => takeFix(setTrouble, fix => set({lat: fix.lat, lon: fix.lon}))}>
        Take this phone's position
      </button>
      {trouble && (
        <p class="help" role="status">
          {trouble}
        </p>
      )}
      <div class="pair">
        <Input label="Latitude there" kind="number" value={draft.lat} onCommit={lat => set({lat})} onType={lat => set({lat})} />
        <Input label="Longitude there" kind="number" value={draft.lon} onCommit={lon => set({lon})} onType={lon => set({lon})} />
      </div>
      <Input
        label="Compass, looking straight in from the street"
        kind="number"
        value={draft.bearing}
        onCommit={bearing => set({bearing})}
        onType={bearing => set({bearing})}
        help="Degrees from true north. Leave it out where the plan's north is true north, as with most deeds."
      />
      <button type="button" class="wide do" disabled={!good} onClick={make}>
        {has ? 'Place it anew' : 'Place the lot'}
      </button>
      <Faults path={['site', 'anchor']} />
    </Card>
  );
}
