import {append, put} from '../job/text';
import {usePage} from '../parts/context';
import {Faults, Field, Onward, PathChoice} from '../parts/fields';
import {Position} from '../parts/position';

/** The runs of the job as tabs, above every step that belongs to one. */
export function RunTabs({run, onRun}: {run: number; onRun: (index: number) => void}) {
  const {session} = usePage();
  const runs = session.job.value.list(['runs']) as {id?: unknown}[];
  return (
    <div class="options tabs" role="group" aria-label="Runs of the camera">
      {runs.map((r, i) => (
        <button type="button" aria-pressed={i === run} key={i} onClick={() => onRun(i)}>
          Run {String(r?.id ?? i + 1)}
        </button>
      ))}
    </div>
  );
}

export function RunStep({run, onRun}: {run: number; onRun: (index: number) => void}) {
  const {session, go} = usePage();
  const runs = session.job.value.list(['runs']) as {id?: unknown}[];
  const add = () => {
    session.edit(d => append(d, ['runs'], {id: `R${runs.length + 1}`}, 'block'));
    onRun(runs.length);
  };
  const path = ['runs', run] as const;
  return (
    <>
      {runs.length === 0 ? (
        <>
          <p class="help">A run is one push of the camera from one opening.</p>
          <button type="button" class="wide do" onClick={add}>
            Begin the first run
          </button>
        </>
      ) : (
        <>
          <RunTabs run={run} onRun={onRun} />
          <Position label="Where the camera goes in" path={[...path, 'from', 'at']} memory="access" />
          <Field label="What it goes in at" path={[...path, 'from', 'what']} placeholder="basement floor clean-out" />
          <div class="pair">
            <Field label="Ground down to the pipe" path={[...path, 'from', 'drop']} kind="length" />
            <Field label="The spot is sure to within" path={[...path, 'from', 'within']} kind="length" />
          </div>
          <PathChoice label="Pushed toward" path={[...path, 'toward']} otherwise="main" options={[['main', 'the main'], ['house', 'the house']]} />
          <PathChoice
            label="Counter set to zero"
            path={[...path, 'counter', 'zero']}
            otherwise="at pipe entry"
            options={[
              ['at pipe entry', 'at the pipe'],
              ['at the rim', 'at the rim'],
            ]}
          />
          <PathChoice
            label="Bends written down"
            path={[...path, 'bends']}
            otherwise="all"
            options={[
              ['all', 'all'],
              ['some', 'some'],
              ['none', 'none'],
            ]}
          />
          <Field label="Transmitter behind the lens" path={[...path, 'camera', 'sonde_behind_lens']} kind="length" placeholder="11 in" />
          <Faults path={[...path, 'from']} except={['at', 'what', 'drop', 'within']} />
          <Faults path={path} except={['from', 'toward', 'counter', 'bends', 'camera', 'log', 'locates']} />
          <Onward words="To the log" onGo={() => go('log')} />
          <div class="pair">
            <button type="button" onClick={add}>
              + another run
            </button>
            <button
              type="button"
              class="away"
              onClick={() => {
                session.edit(d => put(d, path, undefined));
                onRun(Math.max(0, run - 1));
              }}
            >
              Strike this run out
            </button>
          </div>
        </>
      )}
    </>
  );
}
