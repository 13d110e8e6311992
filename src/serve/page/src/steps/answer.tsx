import {useState} from 'preact/hooks';

import {type Answer, ApiError, type Made, makeData, makeSheet, tellWords} from '../api';
import {showCounter, showLength, type Units} from '../job/lengths';
import {usePage} from '../parts/context';
import {capital, Card, Choice, Faults, useUnits} from '../parts/fields';

const percent = (p: number) => (p > 0.99 ? 'over 99 %' : p < 0.01 ? 'under 1 %' : `${Math.round(p * 100)} %`);

export function verdictWords(answer: Answer | null, errors: number): string {
  if (errors > 0) return errors === 1 ? '1 thing to mend' : `${errors} things to mend`;
  if (!answer) return 'nothing to solve yet';
  if (answer.locates.length === 0) return 'no locate yet';
  switch (answer.verdict.kind) {
    case 'agree':
      return 'the readings agree';
    case 'explained':
      return 'a note looks wrong';
    case 'contradiction':
      return 'the readings contradict';
  }
}

export function AnswerStep() {
  const {session, go} = usePage();
  const answer = session.reply.value?.answer;
  const units = useUnits();
  if (!answer) {
    return (
      <>
        <p class="help">The answer comes by itself once the lot is drawn and the camera has gone in somewhere.</p>
        <Faults path={[]} />
      </>
    );
  }
  const open = answer.next_locates.filter(n => !n.enough);
  const runs = session.job.value.list(['runs']) as {id?: unknown}[];
  const addLocate = (run: string, at: number) => go('locates', {run: Math.max(0, runs.findIndex(r => r?.id === run)), counter: String(at)});
  return (
    <>
      <p class={`verdict ${answer.locates.length === 0 ? '' : answer.verdict.kind}`}>{capital(verdictWords(answer, 0))}.</p>
      {answer.explanations.map((e, i) => (
        <Explanation key={i} explanation={e} />
      ))}
      <Card title="Before you leave the lot">
        {open.length === 0 ? (
          <p>You have enough: no further locate would change much.</p>
        ) : (
          open.slice(0, 3).map((n, i) => (
            <div class="advice" key={i}>
              <p>{n.says || `One more locate at ${showCounter(n.at)} would help: ${n.for}.`}</p>
              <button type="button" class="do" onClick={() => addLocate(n.run, n.at)}>
                Locate at {showCounter(n.at)}
              </button>
            </div>
          ))
        )}
      </Card>
      {answer.dig.map((dig, i) => (
        <DigCard key={i} dig={dig} units={units} />
      ))}
      {answer.crossings.length > 0 && (
        <Card title="Where it leaves the lot">
          {answer.crossings.map((c, i) => (
            <p key={i}>{capital(c.says)}</p>
          ))}
        </Card>
      )}
      <Items answer={answer} units={units} />
      <TakeAway />
      <details>
        <summary>Cautions</summary>
        <ul class="plain">
          {answer.cautions.map(c => (
            <li key={c}>{c}</li>
          ))}
        </ul>
      </details>
      <Faults path={[]} />
    </>
  );
}

/** A mistake that the readings point at, with the way to the entry it is about. */
function Explanation({explanation}: {explanation: Answer['explanations'][number]}) {
  const {session, go} = usePage();
  const path = explanation.job_line ? session.job.value.pathAt(explanation.job_line, 1 + indent(session.job.value.text, explanation.job_line)) : [];
  const [where, run, list, entry] = path;
  const reachable = where === 'runs' && (list === 'log' || list === 'locates') && entry !== undefined;
  return (
    <div class="blame" role="status">
      <p>
        <b>{percent(explanation.probability)}</b> {capital(explanation.says.replace(/^line \d+( of the job file)?: /, ''))}.
      </p>
      {reachable && (
        <button type="button" onClick={() => go(list, {run: Number(run), entry: Number(entry)})}>
          Open that note
        </button>
      )}
    </div>
  );
}

/** Columns to the first letter of an entry, past its dash. */
function indent(text: string, line: number): number {
  return /^\s*(-\s*\{?)?\s*/.exec(text.split('\n')[line - 1] ?? '')?.[0].length ?? 0;
}

function DigCard({dig, units}: {dig: Answer['dig'][number]; units: Units}) {
  return (
    <section class="card dig">
      <h2>
        <b class="reel">{showCounter(dig.at)}</b> Dig: {dig.what}
      </h2>
      <p>
        The pipe is {showLength(dig.depth, units)} down, between {showLength(dig.depth95[0], units)} and {showLength(dig.depth95[1], units)}. A hole {showLength(dig.window_length, units)} along
        the pipe and {showLength(dig.window_width, units)} across holds the spot with {percent(dig.contains_probability)}.
      </p>
      <ul class="ties">
        {dig.ties.map(t => (
          <li key={t.from}>
            <b>{t.tape}</b> <small>± {showLength((t.distance95[1] - t.distance95[0]) / 2, units)}</small>
            <span>
              from {t.says || t.from}
              {t.check && ' (to check)'}
            </span>
          </li>
        ))}
      </ul>
      {dig.side && <p>{capital(dig.side)}.</p>}
      {dig.offset && <p>{capital(dig.offset)}.</p>}
      {dig.thresholds.concat(dig.conflicts.map(c => c.says)).map(words => (
        <p key={words} class="warning">
          {words}
        </p>
      ))}
    </section>
  );
}

function Items({answer, units}: {answer: Answer; units: Units}) {
  const items = answer.items.filter(i => i.what);
  if (items.length === 0) return null;
  return (
    <table>
      <caption>What was seen</caption>
      <thead>
        <tr>
          <th scope="col">at</th>
          <th scope="col">what</th>
          <th scope="col">deep</th>
          <th scope="col">private</th>
        </tr>
      </thead>
      <tbody>
        {items.map((item, i) => (
          <tr key={i}>
            <td>
              <b class="reel">{showCounter(item.at)}</b>
            </td>
            <td>{item.what}</td>
            <td>
              {showLength(item.depth95[0], units)} to {showLength(item.depth95[1], units)}
            </td>
            <td class="nowrap">{item.private_probability === null ? '—' : percent(item.private_probability)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

const audiences = [
  ['excavator', 'excavator', 'dig'],
  ['buyer', 'buyer', 'route'],
  ['city', 'city', 'boundary'],
] as const;

const dataFormats = [
  ['geojson', 'GeoJSON'],
  ['gpkg', 'GeoPackage'],
  ['dxf', 'DXF'],
  ['kml', 'KML'],
  ['csv', 'CSV'],
] as const;

/** What is handed over: a sheet and words for each reader, and data. */
function TakeAway() {
  const {session} = usePage();
  const [reader, setReader] = useState<'excavator' | 'buyer' | 'city'>('excavator');
  const [words, setWords] = useState('');
  const [busy, setBusy] = useState('');
  const [trouble, setTrouble] = useState('');
  const text = session.job.value.text;
  const sheet = audiences.find(([key]) => key === reader)![2];

  const attempt = (what: string, work: Promise<Made | string>) => {
    setBusy(what);
    setTrouble('');
    work
      .then(
        made => (typeof made === 'string' ? setWords(made) : keep(made)),
        (error: unknown) => setTrouble(error instanceof ApiError ? capital(error.message) : String(error)),
      )
      .finally(() => setBusy(''));
  };
  return (
    <Card title="Hand over">
      <Choice
        label="To whom"
        value={reader}
        onPick={key => {
          setReader(key);
          setWords('');
        }}
        options={audiences.map(([key, label]) => [key, `the ${label}`] as const)}
      />
      <div class="options">
        <button type="button" class="do" disabled={busy !== ''} onClick={() => attempt('pdf', makeSheet(session.name, text, sheet, 'pdf'))}>
          ↓ Sheet as PDF
        </button>
        <button type="button" disabled={busy !== ''} onClick={() => attempt('full', makeSheet(session.name, text, 'full', 'pdf'))}>
          ↓ All sheets
        </button>
        <button type="button" disabled={busy !== ''} onClick={() => attempt('words', tellWords(session.name, text, reader))}>
          In words
        </button>
      </div>
      {words && <pre class="words">{words}</pre>}
      <fieldset class="choice data">
        <legend>Data</legend>
        <div class="options small">
          {dataFormats.map(([format, label]) => (
            <button type="button" key={format} disabled={busy !== ''} onClick={() => attempt(format, makeData(session.name, text, format))}>
              ↓ {label}
            </button>
          ))}
        </div>
      </fieldset>
      <p role="status" class={trouble ? 'error' : 'help'}>
        {trouble || (busy ? 'being made …' : '')}
      </p>
    </Card>
  );
}

function keep({bytes, file}: Made): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(bytes);
  link.download = file;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
