import './look/type.css';
import 'ol/ol.css';
import './look/ground.css';
import './look/frame.css';
import './look/forms.css';
import './look/log.css';
import './look/answer.css';
import './look/wide.css';

import {render} from 'preact';
import {useEffect, useState} from 'preact/hooks';

import {ApiError} from './api';
import {Session} from './job/session';
import {Jobs} from './parts/jobs';
import {starterJob} from './parts/starter';
import {Workplace} from './workplace';

const today = () => {
  const now = new Date();
  const two = (n: number) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
};

function App() {
  const [session, setSession] = useState<Session | null>(null);
  const [trouble, setTrouble] = useState('');

  const open = (name: string, begin?: string) => {
    const made = new Session(name);
    setTrouble('');
    (begin === undefined ? made.open() : made.begin(begin)).then(
      () => {
        history.replaceState(null, '', `?job=${encodeURIComponent(name)}${location.hash}`);
        setSession(made);
      },
      (error: unknown) => setTrouble(error instanceof ApiError ? error.message : String(error)),
    );
  };

  useEffect(() => {
    const wanted = new URLSearchParams(location.search).get('job');
    if (wanted) open(wanted);
  }, []);

  if (session) {
    return (
      <Workplace
        key={session.name}
        session={session}
        onLeave={() => {
          session.close();
          history.replaceState(null, '', location.pathname + location.hash);
          setSession(null);
        }}
      />
    );
  }
  return (
    <>
      {trouble && (
        <p class="error banner" role="alert">
          {trouble}
        </p>
      )}
      <Jobs onOpen={open} onBegin={(file, title) => open(file, starterJob(title, today()))} />
    </>
  );
}

render(<App />, document.getElementById('page')!);
