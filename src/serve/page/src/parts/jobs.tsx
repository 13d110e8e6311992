import {useEffect, useState} from 'preact/hooks';

import {ApiError, listJobs} from '../api';

/** The folder: open a job or begin one. */
export function Jobs({onOpen, onBegin}: {onOpen: (name: string) => void; onBegin: (file: string, title: string) => void}) {
  const [names, setNames] = useState<string[] | null>(null);
  const [trouble, setTrouble] = useState('');
  const [title, setTitle] = useState('');
  useEffect(() => {
    listJobs().then(setNames, (error: unknown) => setTrouble(error instanceof ApiError ? error.message : String(error)));
  }, []);
  const file = `${title.trim().toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '')}.yaml`;
  const taken = names?.includes(file) ?? false;
  return (
    <main class="jobs">
      <h1>Lots in this folder</h1>
      {trouble && <p class="error">{trouble}</p>}
      <ul class="rows">
        {names?.map(name => (
          <li key={name}>
            <button type="button" class="row" onClick={() => onOpen(name)}>
              <span>{name.replace(/(\/job)?\.ya?ml$/, '')}</span>
            </button>
          </li>
        ))}
      </ul>
      {names?.length === 0 && <p class="help">None yet.</p>}
      <form
        class="card"
        onSubmit={e => {
          e.preventDefault();
          if (file !== '.yaml' && !taken) onBegin(file, title.trim());
        }}
      >
        <div class="field">
          <label for="title">A new lot: its address</label>
          <input id="title" autocomplete="off" value={title} onInput={e => setTitle(e.currentTarget.value)} />
        </div>
        {taken && <p class="error">There is a job of that name already.</p>}
        <button type="submit" class="wide do" disabled={file === '.yaml' || taken}>
          Begin
        </button>
      </form>
    </main>
  );
}
