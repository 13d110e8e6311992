import {useState} from 'preact/hooks';
import type {Document} from 'yaml';

import {append, type JobText, put, scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Choice, Faults, Field, Input, PathChoice} from '../parts/fields';

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
  return (
    <>
      <Field label="Address or name" path={['site', 'name']} placeholder="27 Juniper Row, Eastmere" />
      <div class="pair">
        <PathChoice label="Measured in" path={['site', 'units']} otherwise="ft" options={[['ft', 'feet'], ['m', 'metres']]} />
        <Field label="Inspected on" path={['site', 'inspected']} kind="date" />
      </div>
      <Field label="By" path={['site', 'by']} />
      <LotShape />
      <StreetSide />
    </>
  );
}

function LotShape() {
  const {session} = usePage();
  const has = indexOfKind(session.job.value, 'lot') >= 0;
  const [way, setWay] = useState<Way | undefined>(has ? undefined : 'pace');
  return (
    <section class="card">
      <h3>The lot{has ? ' is drawn' : ''}</h3>
      <Choice
        label={has ? 'Say it anew' : 'How do you know its shape?'}
        value={way}
        onPick={setWay}
        options={[
          ['pace', 'Paced'],
          ['deed', 'Deed'],
          ['draw', 'Draw it'],
          ['file', 'Parcel file'],
        ]}
      />
      {way === 'pace' && <Paced />}
      {way === 'deed' && <DeedCalls />}
      {way === 'draw' && <Drawn />}
      {way === 'file' && <ParcelFile />}
      {has && <Faults path={['features', indexOfKind(session.job.value, 'lot')]} />}
    </section>
  );
}

/** A rectangle with the street along its lower side: what one can pace in a minute. */
function Paced() {
  const {session} = usePage();
  const [width, setWidth] = useState('');
  const [depth, setDepth] = useState('');
  const w = Number(width);
  const d = Number(depth);
  const make = () =>
    session.edit(doc =>
      putFeature(doc, session.job.value, 'lot', {
        id: 'lot',
        kind: 'lot',
        area: [[0, 0], [w, 0], [w, d], [0, d]],
        corners: ['fl', 'fr', 'br', 'bl'],
        street: 'fl-fr',
      }),
    );
  return (
    <>
      <p class="help">Stand in the street and look at the house: “front left” and “front right” are from there.</p>
      <div class="pair">
        <Input label="Along the street" kind="length" value={width} onCommit={setWidth} />
        <Input label="From front to back" kind="length" value={depth} onCommit={setDepth} />
      </div>
      <button type="button" class="wide do" disabled={!(w > 0 && d > 0)} onClick={make}>
        Draw the rectangle
      </button>
    </>
  );
}

function DeedCalls() {
  const {session} = usePage();
  const [calls, setCalls] = useState('');
  const lines = calls.split('\n').map(l => l.trim()).filter(l => l !== '');
  const make = () =>
    session.edit(doc => putFeature(doc, session.job.value, 'lot', {id: 'lot', kind: 'lot', deed: {start: [5000, 5000], calls: lines}}));
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

function Drawn() {
  const {session, map} = usePage();
  const draw = () =>
    map.draw('area', 'Tap the corners one by one; tap the first again to close', points =>
      session.edit(doc =>
        putFeature(doc, session.job.value, 'lot', {id: 'lot', kind: 'lot', area: points.map(p => p.map(c => Math.round(c * 10) / 10))}),
      ),
    );
  return (
    <button type="button" class="wide do" onClick={draw}>
      Draw the corners
    </button>
  );
}

function ParcelFile() {
  const {session} = usePage();
  const [path, setPath] = useState('');
  const [lat, setLat] = useState('');
  const [lon, setLon] = useState('');
  const make = () => {
    const file: Record<string, unknown> = {path};
    if (lat && lon) file['near'] = {lat: scalar(lat), lon: scalar(lon)};
    session.edit(doc => putFeature(doc, session.job.value, 'lot', {id: 'lot', kind: 'lot', file}));
  };
  return (
    <>
      <Input label="File beside the job (GeoPackage, GeoJSON, Shapefile)" value={path} onCommit={setPath} placeholder="parcels.gpkg" />
      <div class="pair">
        <Input label="Latitude in the lot" kind="number" value={lat} onCommit={setLat} />
        <Input label="Longitude" kind="number" value={lon} onCommit={setLon} />
      </div>
      <Field label="Grid of the site" path={['site', 'crs']} placeholder="EPSG:3734" />
      <button type="button" class="wide do" disabled={path === ''} onClick={make}>
        Take the parcel
      </button>
    </>
  );
}

/** Curb and right-of-way, both measured from the front lot line. */
function StreetSide() {
  const {session} = usePage();
  const job = session.job.value;
  const lot = indexOfKind(job, 'lot');
  const curb = indexOfKind(job, 'curb');
  const row = indexOfKind(job, 'right-of-way');
  const [toCurb, setToCurb] = useState('');
  const [toRow, setToRow] = useState('');
  if (lot < 0) return null;
  const lotId = job.typed(['features', lot, 'id']);
  const corners = session.reply.value?.view?.features.find(f => f.id === lotId)?.corners ?? [];
  const edge = job.typed(['features', lot, 'street']) || (corners.length > 1 ? `${corners[0]!.name}-${corners[1]!.name}` : '');
  const [from, to] = edge.split('-');
  const beside = (name: string | undefined, by: string) => ({from: `${lotId}.${name}`, along: `${lotId}.${edge}`, go: name === from ? 0 : along(corners, from, to), out: scalar(by)});
  const make = () =>
    session.edit(doc => {
      if (toCurb) putFeature(doc, job, 'curb', {id: 'curb', kind: 'curb', line: [beside(from, toCurb), beside(to, toCurb)]});
      if (toRow && (toCurb || curb >= 0)) {
        putFeature(doc, job, 'right-of-way', {id: 'row', kind: 'right-of-way', offset: {from: 'curb', by: scalar(toRow), toward: lotId}});
      }
    });
  return (
    <section class="card">
      <h3>The street side</h3>
      <Input label="Front lot line out to the curb" kind="length" value={toCurb} onCommit={setToCurb} />
      <Input label="Curb back to the right-of-way line" kind="length" value={toRow} onCommit={setToRow} help="Ask the city; on many streets it is the front lot line. Not a boundary survey." />
      <button type="button" class="wide do" disabled={!edge || (!toCurb && !(toRow && curb >= 0))} onClick={make}>
        {curb >= 0 || row >= 0 ? 'Draw them anew' : 'Draw them'}
      </button>
      {curb >= 0 && <Faults path={['features', curb]} />}
      {row >= 0 && <Faults path={['features', row]} />}
    </section>
  );
}

/** Length of the street edge as the map shows it, for the far end of the curb. */
function along(corners: {name: string; at: [number, number]}[], from: string | undefined, to: string | undefined): number {
  const a = corners.find(c => c.name === from);
  const b = corners.find(c => c.name === to);
  return a && b ? Math.round(Math.hypot(b.at[0] - a.at[0], b.at[1] - a.at[1]) * 100) / 100 : 0;
}
