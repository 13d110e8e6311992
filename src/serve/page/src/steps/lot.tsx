import {useState} from 'preact/hooks';
import type {Document} from 'yaml';

import {useKept} from '../job/kept';
import {append, type JobText, put, scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Card, Choice, Faults, Field, Input, Onward, PathChoice} from '../parts/fields';
import {Reshape} from '../parts/reshape';
import {EarthCard} from './earth';
import {StreetSide} from './street';

type Way = 'pace' | 'deed' | 'draw' | 'file';

/** Index of the first feature of a kind. */
export function indexOfKind(job: JobText, kind: string): number {
  return job.list(['features']).findIndex(f => typeof f === 'object' && f !== null && (f as {kind?: unknown}).kind === kind);
}

/** Puts a feature in the place of the first of its kind, or adds it. */
export function putFeature(document: Document, job: JobText, kind: string, entry: Record<string, unknown>): void {
  const at = indexOfKind(job, kind);
  if (at >= 0) put(document, ['features', at], entry);
  else append(document, ['features'], entry);
}

export function LotStep() {
  const {go} = usePage();
  return (
    <>
      <Field label="Address or name" path={['site', 'name']} placeholder="27 Juniper Row, Eastmere" />
      <PathChoice label="Measured in" path={['site', 'units']} otherwise="ft" options={[['ft', 'feet'], ['m', 'metres']]} />
      <div class="pair">
        <Field label="Inspected on" path={['site', 'inspected']} kind="date" />
        <Field label="By" path={['site', 'by']} />
      </div>
      <LotShape />
      <StreetSide />
      <EarthCard />
      <Onward words="To the house" onGo={() => go('house')} />
    </>
  );
}

function LotShape() {
  const {session} = usePage();
  const at = indexOfKind(session.job.value, 'lot');
  const has = at >= 0;
  const [way, setWay] = useState<Way | undefined>(has ? undefined : 'pace');
  const taken = () => setWay(undefined);
  return (
    <Card title={has ? 'The lot is drawn' : 'The lot'}>
      <Choice
        label={has ? 'Say its shape anew' : 'How do you know its shape?'}
        value={way}
        onPick={setWay}
        options={[
          ['pace', 'Paced'],
          ['deed', 'Deed'],
          ['draw', 'Draw it'],
          ['file', 'Parcel file'],
        ]}
      />
      {way === 'pace' && <Paced onDone={taken} />}
      {way === 'deed' && <DeedCalls onDone={taken} />}
      {way === 'draw' && <Drawn onDone={taken} />}
      {way === 'file' && <ParcelFile onDone={taken} />}
      {has && <Reshape at={at} />}
      {has && <Faults path={['features', at]} />}
    </Card>
  );
}

/** A rectangle with the street along its lower side: what one can pace in a minute. */
function Paced({onDone}: {onDone: () => void}) {
  const {session} = usePage();
  const [width, setWidth] = useKept(session.name, 'lot-width', '');
  const [depth, setDepth] = useKept(session.name, 'lot-depth', '');
  const make = () => {
    session.edit(doc =>
      putFeature(doc, session.job.value, 'lot', {
        id: 'lot',
        kind: 'lot',
        walls: {start: [1000, 1000], heading: 0, legs: [depth, `R ${width}`, `R ${depth}`, `R ${width}`], corners: ['fl', 'bl', 'br', 'fr']},
        street: 'fl-fr',
      }),
    );
    onDone();
  };
  return (
    <>
      <p class="help">Stand in the street and look at the house: front left and front right are from there.</p>
      <div class="pair">
        <Input label="Along the street" kind="length" value={width} onCommit={setWidth} onType={setWidth} />
        <Input label="From front to back" kind="length" value={depth} onCommit={setDepth} onType={setDepth} />
      </div>
      <button type="button" class="wide do" disabled={width === '' || depth === ''} onClick={make}>
        Draw the rectangle
      </button>
    </>
  );
}

function DeedCalls({onDone}: {onDone: () => void}) {
  const {session} = usePage();
  const [calls, setCalls] = useKept(session.name, 'deed', '');
  const lines = calls.split('\n').map(l => l.trim()).filter(l => l !== '');
  const make = () => {
    session.edit(doc => putFeature(doc, session.job.value, 'lot', {id: 'lot', kind: 'lot', deed: {start: [1000, 1000], calls: lines}}));
    onDone();
  };
  return (
    <>
      <div class="field">
        <label for="calls">Courses of the deed, one a line</label>
        <textarea id="calls" rows={5} spellcheck={false} placeholder={'N 04 30 00 E 118.00\nS 85 30 00 E 70.00'} value={calls} onInput={e => setCalls(e.currentTarget.value)} />
      </div>
      <button type="button" class="wide do" disabled={lines.length < 3} onClick={make}>
        Plot the deed
      </button>
    </>
  );
}

function Drawn({onDone}: {onDone: () => void}) {
  const {session, map} = usePage();
  const draw = () =>
    map.draw('area', 'Tap the corners one by one; tap the first again to close', points => {
      session.edit(doc => putFeature(doc, session.job.value, 'lot', {id: 'lot', kind: 'lot', area: points.map(p => p.map(c => Math.round(c * 10) / 10))}));
      onDone();
    });
  return (
    <button type="button" class="wide do" onClick={draw}>
      Draw the corners
    </button>
  );
}

function ParcelFile({onDone}: {onDone: () => void}) {
  const {session} = usePage();
  const [draft, setDraft] = useKept(session.name, 'parcel', {path: '', where: '', lat: '', lon: ''});
  const set = (key: keyof typeof draft) => (value: string) => setDraft({...draft, [key]: value});
  const make = () => {
    const file: Record<string, unknown> = {path: draft.path};
    if (draft.where) file['where'] = draft.where;
    if (draft.lat && draft.lon) file['near'] = {lat: scalar(draft.lat), lon: scalar(draft.lon)};
    session.edit(doc => putFeature(doc, session.job.value, 'lot', {id: 'lot', kind: 'lot', file}));
    onDone();
  };
  return (
    <>
      <Input label="File beside the job (GeoPackage, GeoJSON, Shapefile)" value={draft.path} onCommit={set('path')} onType={set('path')} placeholder="parcels.gpkg" />
      <Input label="Which parcel, if there are several" value={draft.where} onCommit={set('where')} placeholder="PIN = '07-113'" />
      <p class="help">Or a point inside it:</p>
      <div class="pair">
        <Input label="Latitude" kind="number" value={draft.lat} onCommit={set('lat')} />
        <Input label="Longitude" kind="number" value={draft.lon} onCommit={set('lon')} />
      </div>
      <Field label="Grid of the site" path={['site', 'crs']} placeholder="EPSG:3734" />
      <button type="button" class="wide do" disabled={draft.path === ''} onClick={make}>
        Take the parcel
      </button>
    </>
  );
}
