import {useState} from 'preact/hooks';

import {usePage} from '../parts/context';

/** The job file itself: the truth that every form writes to. @param id  of its field, unique on the page */
export function TextStep({id = 'yaml'}: {id?: string}) {
  const {session} = usePage();
  const [typed, setTyped] = useState<string | null>(null);
  const stored = session.job.value.text;
  const commit = () => {
    setTyped(null);
  };
  const diagnostics = session.reply.value?.diagnostics ?? [];
  return (
    <>
      <div class="field">
        <label for={id}>{session.name}</label>
        <textarea
          id={id}
          class="yaml"
          rows={28}
          spellcheck={false}
          value={typed ?? stored}
          onInput={e => {
            setTyped(e.currentTarget.value);
            session.type(e.currentTarget.value, 'text');
          }}
          onBlur={commit}
        />
      </div>
      {diagnostics.map((d, i) => (
        <p key={i} class={d.severity}>
          {d.line > 0 && <b>Line {d.line}. </b>}
          {d.message.replace(/`/g, '')}
          {d.expected && `. Expected: ${d.expected.replace(/`/g, '')}`}
          {d.hint && `. ${d.hint.replace(/`/g, '')}`}
        </p>
      ))}
    </>
  );
}
