import {append} from '../job/text';
import {usePage} from '../parts/context';
import {Faults, Field, PathChoice} from '../parts/fields';
import {Position} from '../parts/position';

export function RunStep({run, onRun}: {run: number; onRun: (index: number) => void}) {
  const {session} = usePage();
  const runs = session.job.value.list(['runs']) as {id?: unknown}[];
  const add = () => {
    session.edit(d => append(d, ['runs'], {id: `R${runs.length + 1}`}));
    onRun(runs.length);
  };
  const path = ['runs', run] as const;
  return (
    <>
      <div class="options tabs" role="tablist" aria-label="Runs">
        {runs.map((r, i) => (
          <button type="button" role="tab" aria-selected={i === run} key={i} onClick={() => onRun(i)}>
            {String(r?.id ?? i + 1)}
          </button>
        ))}
        <button type="button" onClick={add}>
          + run
        </button>
      </div>
      {runs.length === 0 ? (
        <p class="help">A run is one push of the camera from one opening. Add the first.</p>
      ) : (
        <>
          <Position label="Where the camera goes in" path={[...path, 'from', 'at']} />
          <Field label="What it goes in at" path={[...path, 'from', 'what']} placeholder="basement floor clean-out" />
          <div class="pair">
            <Field label="Ground down to the pipe there" path={[...path, 'from', 'drop']} kind="length" />
            <Field label="The spot is sure to within" path={[...path, 'from', 'within']} kind="length" />
          </div>
          <PathChoice label="Pushed toward" path={[...path, 'toward']} otherwise="main" options={[['main', 'the main'], ['house', 'the house']]} />
          <PathChoice
            label="Counter set to zero"
            path={[...path, 'counter', 'zero']}
            otherwise="at pipe entry"
            options={[['at pipe entry', 'at the pipe'], ['at the rim', 'at the rim']]}
          />
          <PathChoice label="Bends written down" path={[...path, 'bends']} otherwise="all" options={[['all', 'all'], ['some', 'some'], ['none', 'none']]} />
          <Field label="Transmitter behind the lens" path={[...path, 'camera', 'sonde_behind_lens']} kind="length" placeholder="11 in" />
          <Faults path={[...path, 'from']} />
        </>
      )}
    </>
  );
}
