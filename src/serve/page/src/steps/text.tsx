import {useState} from 'preact/hooks';

import {usePage} from '../parts/context';
import {Faults} from '../parts/fields';

/** The job file itself: the truth that every form writes to. */
export function TextStep() {
  const {session} = usePage();
  const [typed, setTyped] = useState<string | null>(null);
  const stored = session.job.value.text;
  const commit = () => {
    if (typed !== null && typed !== stored) session.replace(typed);
    setTyped(null);
  };
  const diagnostics = session.reply.value?.diagnostics ?? [];
  return (
    <>
      <div class="field">
        <label for="yaml">{session.name}</label>
        <textarea
          id="yaml"
          class="yaml"
          rows={28}
          spellcheck={false}
          value={typed ?? stored}
          onInput={e => {
            setTyped(e.currentTarget.value);
            session.replace(e.currentTarget.value);
          }}
          onBlur={commit}
        />
      </div>
      {diagnostics.map((d, i) => (
        <p key={i} class={d.severity}>
          Line {d.line}: {d.message.replace(/`/g, '')}
        </p>
      ))}
      {!session.job.value.readable && <Faults path={[]} whole />}
    </>
  );
}
