import {useEffect, useRef, useState} from 'preact/hooks';

import type {MapTasks} from '../parts/context';
import type {Session} from '../job/session';
import {LotMap} from './lot-map';

/** The map with its few buttons, and the words that say what a tap does now. */
export function MapPane({session, onReady}: {session: Session; onReady: (tasks: MapTasks) => void}) {
  const target = useRef<HTMLDivElement>(null);
  const map = useRef<LotMap | null>(null);
  const [prompt, setPrompt] = useState('');
  const [drawing, setDrawing] = useState(false);
  const reply = session.reply.value;

  useEffect(() => {
    const made = new LotMap(target.current!);
    map.current = made;
    const ended = () => {
      setPrompt('');
      setDrawing(false);
    };
    onReady({
      tap(words, done) {
        setPrompt(words);
        target.current?.scrollIntoView({block: 'nearest'});
        made.awaitTap(tap => {
          ended();
          done(tap);
        });
      },
      draw(shape, words, done) {
        setPrompt(words);
        setDrawing(true);
        target.current?.scrollIntoView({block: 'nearest'});
        made.draw(shape, points => {
          ended();
          done(points);
        });
      },
      cancel() {
        ended();
        made.cancel();
      },
    });
    return () => made.dispose();
  }, []);

  useEffect(() => map.current?.show(reply?.view ?? null, reply?.answer ?? null), [reply]);

  return (
    <div class="map">
      <div class="canvas" ref={target} tabIndex={0} role="application" aria-label="Plan of the lot. Arrow keys move it, plus and minus change the scale." />
      <div class="map-buttons">
        <button type="button" aria-label="Closer" onClick={() => map.current?.zoom(1.6)}>
          +
        </button>
        <button type="button" aria-label="Farther" onClick={() => map.current?.zoom(1 / 1.6)}>
          −
        </button>
        <button type="button" aria-label="Show the whole lot" onClick={() => map.current?.fit()}>
          ⤢
        </button>
      </div>
      {prompt && (
        <div class="prompt" role="status">
          <span>{prompt}</span>
          {drawing && (
            <button type="button" onClick={() => map.current?.finish()}>
              Done
            </button>
          )}
          <button
            type="button"
            onClick={() => {
              setPrompt('');
              setDrawing(false);
              map.current?.cancel();
            }}
          >
            Cancel
          </button>
        </div>
      )}
    </div>
  );
}
