import {useEffect, useState} from 'preact/hooks';

import {type Answer, drawSheets} from '../api';
import {showCounter, showLength, type Units} from '../job/lengths';
import {usePage} from '../parts/context';
import {Choice, Faults, useUnits} from '../parts/fields';

const percent = (p: number) => (p > 0.99 ? 'over 99 %' : p < 0.01 ? 'under 1 %' : `${Math.round(p * 100)} %`);

export function verdictWords(answer: Answer | null, errors: number): string {
  if (errors > 0) return errors === 1 ? '1 thing to mend' : `${errors} things to mend`;
  if (!answer) return 'nothing to solve yet';
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
  const {session} = usePage();
  const reply = session.reply.value;
  const answer = reply?.answer;
  const units = useUnits();
  if (!answer) {
    return (
      <>
        <p class="help">The answer comes by itself once the lot is drawn and the camera has gone in somewhere.</p>
        <Faults path={[]} whole />
      </>
    );
  }
  const open = answer.next_locates.filter(n => !n.enough);
  return (
    <>
      <p class={`verdict ${answer.verdict.kind}`}>{capital(verdictWords(answer, 0))}.</p>
      {answer.explanations.map((e, i) => (
        <p key={i} class="warning">
          <b>{percent(e.probability)}</b> {e.says}
        </p>
      ))}
      <h3>Before you leave the lot</h3>
      {open.length === 0 ? (
        <p>You have enough.</p>
      ) : (
        <ul class="plain">
          {open.slice(0, 3).map((n, i) => (
            <li key={i}>{n.says || `One more locate at ${showCounter(n.at)} would help: ${n.for}.`}</li>
          ))}
        </ul>
      )}
      {answer.dig.map((dig, i) => (
        <DigCard key={i} dig={dig} units={units} />
      ))}
      {answer.items.length > 0 && <Items answer={answer} units={units} />}
      <Sheets />
      <details>
        <summary>Cautions</summary>
        <ul class="plain">
          {answer.cautions.map(c => (
            <li key={c}>{c}</li>
          ))}
        </ul>
      </details>
      <Faults path={[]} whole />
    </>
  );
}

function DigCard({dig, units}: {dig: Answer['dig'][number]; units: Units}) {
  return (
    <section class="card dig">
      <h3>
        Dig at {showCounter(dig.at)}: {dig.what}
      </h3>
      <p>
        Depth {showLength(dig.depth, units)}, between {showLength(dig.depth95[0], units)} and {showLength(dig.depth95[1], units)}. A hole {showLength(dig.window_length, units)} along the pipe and{' '}
        {showLength(dig.window_width, units)} across holds the spot with {percent(dig.contains_probability)}.
      </p>
      <ul class="ties">
        {dig.ties.map(t => (
          <li key={t.from}>
            <b>{showLength(t.distance, units)}</b> <small>± {showLength((t.distance95[1] - t.distance95[0]) / 2, units)}</small> from {t.says || t.from}
            {t.check && ' (check)'}
          </li>
        ))}
      </ul>
      {dig.offset && <p>{capital(dig.offset)}</p>}
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
            <td>{showCounter(item.at)}</td>
            <td>{item.what}</td>
            <td>
              {showLength(item.depth95[0], units)} to {showLength(item.depth95[1], units)}
            </td>
            <td>{item.private_probability === null ? '—' : percent(item.private_probability)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** The engine's own sheets, as they will be printed. */
function Sheets() {
  const {session} = usePage();
  const [kind, setKind] = useState<'dig' | 'route' | 'boundary'>('dig');
  const [pages, setPages] = useState<string[]>([]);
  const text = session.job.value.text;
  useEffect(() => {
    const control = new AbortController();
    const timer = setTimeout(() => {
      drawSheets(session.name, text, kind, control.signal)
        .then(setPages)
        .catch(() => undefined);
    }, 300);
    return () => {
      clearTimeout(timer);
      control.abort();
    };
  }, [text, kind]);
  return (
    <>
      <Choice
        label="Sheet"
        value={kind}
        onPick={setKind}
        options={[
          ['dig', 'for the excavator'],
          ['route', 'for the buyer'],
          ['boundary', 'for the city'],
        ]}
      />
      <div class="sheets">
        {pages.map((svg, i) => (
          <img key={i} alt={`Sheet ${i + 1} of ${pages.length}`} src={`data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`} />
        ))}
      </div>
    </>
  );
}

const capital = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
