import {useKept} from '../job/kept';
import {put, scalar} from '../job/text';
import {usePage} from '../parts/context';
import {Card, Faults, Input, Select} from '../parts/fields';
import {cornerWords, type Named} from '../parts/named';
import {indexOfKind, putFeature} from './lot';

/** How far the curb is drawn past the lot on either side, so that what lies off to the side still has it. */
const past = {ft: 30, m: 10};

/** Which side of the lot lies along the street, where its shape does not tell. */
function WhichSide() {
  const {session, map} = usePage();
  const at = indexOfKind(session.job.value, 'lot');
  const lot = session.reply.value?.view?.features.find(f => f.kind === 'lot' && f.shape === 'area');
  if (at < 0 || !lot) return null;
  const say = (side: string) => session.edit(d => put(d, ['features', at, 'street'], side));
  const sides = lot.corners.map((corner, i): Named => {
    const next = lot.corners[(i + 1) % lot.corners.length]!;
    return [`${corner.name}-${next.name}`, `${cornerWords(corner.name)} to ${cornerWords(next.name)}`];
  });
  return (
    <Card title="The street side">
      <p class="help">Which side of the lot lies along the street? The plan is turned so that it is at the bottom.</p>
      <button type="button" class="wide do" onClick={() => map.side('Tap the side along the street', lot.id, say)}>
        Tap that side on the map
      </button>
      <Select label="Or by its corners" value="" options={sides} onPick={say} />
    </Card>
  );
}

/** Curb, right-of-way line and main, measured from the front of the lot. */
export function StreetSide() {
  const {session} = usePage();
  const job = session.job.value;
  const front = session.reply.value?.view?.front;
  const [draft, setDraft] = useKept(session.name, 'street', {curb: '', row: '', main: ''});
  const set = (key: keyof typeof draft) => (value: string) => setDraft({...draft, [key]: value});
  if (!front) return <WhichSide />;
  const curb = indexOfKind(job, 'curb');
  const row = indexOfKind(job, 'right-of-way');
  const main = indexOfKind(job, 'main');
  const beside = (by: string) => {
    const more = job.typed(['site', 'units']) === 'm' ? past.m : past.ft;
    const along = `${front.lot}.${front.left}-${front.right}`;
    return [
      {along, from: `${front.lot}.${front.left}`, go: -more, out: scalar(by)},
      {along, from: `${front.lot}.${front.right}`, go: more, out: scalar(by)},
    ];
  };
  const make = () =>
    session.edit(doc => {
      if (draft.curb) putFeature(doc, job, 'curb', {id: 'curb', kind: 'curb', line: beside(draft.curb)});
      if (draft.row && (draft.curb || curb >= 0))
        putFeature(doc, job, 'right-of-way', {id: 'row', kind: 'right-of-way', label: 'right-of-way', offset: {from: 'curb', by: scalar(draft.row), toward: front.lot}});
      if (draft.main) putFeature(doc, job, 'main', {id: 'sewer', kind: 'main', label: 'city sewer', line: beside(draft.main)});
    });
  const ready = Boolean(draft.curb || draft.main || (draft.row && curb >= 0));
  return (
    <Card title="The street side">
      <Input label="Front lot line out to the curb" kind="length" value={draft.curb} onCommit={set('curb')} onType={set('curb')} />
      <Input
        label="Curb back to the right-of-way line"
        kind="length"
        value={draft.row}
        onCommit={set('row')}
        onType={set('row')}
        help="Ask the city; on many streets it is the front lot line. Not a boundary survey."
      />
      <Input label="Front lot line out to the city main" kind="length" value={draft.main} onCommit={set('main')} onType={set('main')} help="From manhole to manhole; leave it out if you do not know." />
      <button type="button" class="wide do" disabled={!ready} onClick={make}>
        {curb >= 0 || row >= 0 || main >= 0 ? 'Draw them anew' : 'Draw them'}
      </button>
      {[curb, row, main].map(at => at >= 0 && <Faults key={at} path={['features', at]} />)}
    </Card>
  );
}
