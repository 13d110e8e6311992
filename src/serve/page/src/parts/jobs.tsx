import {useEffect, useState} from 'preact/hooks';

import {ApiError, listJobs} from '../api';
import {draftNames} from '../job/drafts';

/** The folder: open a job or begin one. */
export function Jobs({onOpen, onBegin}: {onOpen: (name: string) => void; onBegin: (file: string, title: string) => void}) {
  const [names, setNames] = useState<string[] | null>(null);
  const [trouble, setTrouble] = useState('');
  const [title, setTitle] = useState('');
  useEffect(() => {
    listJobs().then(setNames, (error: unknown) => {
      setNames([]);
      setTrouble(error instanceof ApiError ? error.message : String(error));
    });
  }, []);
  const drafts = draftNames();
  const all = [...new Set([...(names ?? []), ...drafts])].sort();
  const file = `${title.trim().toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '')}.yaml`;
  const taken = all.includes(file);
  return (
    <main class="jobs">
      <h1>
        <img src="./mark.svg" alt="" /> swingtie
      </h1>
      {trouble && <p class="error">{trouble}</p>}
      <form
        class="card"
        onSubmit={e => {
          e.preventDefault();
          if (file !== '.yaml' && !taken) onBegin(file, title.trim());
        }}
      >
        <div class="field">
          <label for="title">A new lot: its address</label>
          <input id="title" autocomplete="off" placeholder="27 Juniper Row, Eastmere" value={title} onInput={e => setTitle(e.currentTarget.value)} />
        </div>
        {taken && <p class="error">There is a job of that name already.</p>}
        <button type="submit" class="wide do" disabled={file === '.yaml' || taken}>
          Begin
        </button>
      </form>
      <h2>Lots in this folder</h2>
      <ul class="rows">
        {all.map(name => (
          <li key={name}>
            <button type="button" class="row" onClick={() => onOpen(name)}>
              <span>{name.replace(/(\/job)?\.ya?ml$/, '')}</span>
              {drafts.includes(name) && <small class="tag">not on the disk yet</small>}
            </button>
          </li>
        ))}
      </ul>
      {names?.length === 0 && all.length === 0 && <p class="help">None yet. Begin one above; it becomes a file in the folder that swingtie serves.</p>}
    </main>
  );
}
