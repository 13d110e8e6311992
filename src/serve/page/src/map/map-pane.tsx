import {useEffect, useRef, useState} from 'preact/hooks';

import type {Session} from '../job/session';
import type {MapTasks} from '../parts/context';
import {LotMap} from './lot-map';
import {SheetView} from './sheet-view';

export type Sight = 'map' | 'dig' | 'route' | 'boundary';

const sights = [
  ['map', 'Map'],
  ['dig', 'Dig sheet'],
  ['route', 'Route'],
  ['boundary', 'Boundary'],
] as const;

/** What there is to see: the map with its few buttons and the words that say what a tap does now, or a sheet. */
export function MapPane({session, sight, onSight, onReady}: {session: Session; sight: Sight; onSight: (sight: Sight) => void; onReady: (tasks: MapTasks) => void}) {
  const target = useRef<HTMLDivElement>(null);
  const map = useRef<LotMap | null>(null);
  const [prompt, setPrompt] = useState('');
  const [ends, setEnds] = useState(false);
  const reply = session.reply.value;
  const empty = !reply?.view || reply.view.features.length === 0;

  useEffect(() => {
    const made = new LotMap(target.current!);
    map.current = made;
    const begin = (words: string, canEnd: boolean) => {
      onSight('map');
      setPrompt(words);
      setEnds(canEnd);
      target.current?.focus({preventScroll: true});
    };
    const ended = () => setPrompt('');
    onReady({
      tap(words, done) {
        begin(words, false);
        made.awaitTap(tap => {
          ended();
          done(tap);
        });
      },
      side(words, area, done) {
        begin(words, false);
        made.awaitTap(tap => {
          ended();
          const side = made.nearestSide(area, tap.at);
          if (side) done(side);
        });
      },
      draw(shape, words, done) {
        begin(words, true);
        made.draw(shape, points => {
          ended();
          done(points);
        });
      },
      reshape(shape, points, words, done) {
        begin(words, true);
        made.reshape(shape, points, changed => {
          ended();
          done(changed);
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
    <div class={`map ${prompt ? 'waiting' : ''} ${sight === 'map' ? '' : 'paper'}`}>
      <div class="sights" role="group" aria-label="What is shown">
        {sights.map(([key, words]) => (
          <button type="button" key={key} aria-pressed={sight === key} disabled={key !== 'map' && !reply?.answer} onClick={() => onSight(key)}>
            {words}
          </button>
        ))}
      </div>
      <div
        class="canvas"
        ref={target}
        tabIndex={0}
        role="application"
        aria-label="Plan of the lot, the street at the bottom. Arrow keys move it, plus and minus change the scale."
        hidden={sight !== 'map'}
      />
      {sight === 'map' ? (
        <>
          {empty && !prompt && <p class="blank">The plan appears here as you measure.</p>}
          <div class="map-buttons">
            <button type="button" aria-label="Closer" onClick={() => map.current?.zoom(1.6)}>
              +
            </button>
            <button type="button" aria-label="Farther" onClick={() => map.current?.zoom(1 / 1.6)}>
              −
            </button>
            <button type="button" aria-label="Show the whole lot" onClick={() => map.current?.fitAll()}>
              ⌂
            </button>
          </div>
        </>
      ) : (
        <SheetView session={session} kind={sight} />
      )}
      {prompt && (
        <div class="prompt" role="status">
          <span>{prompt}</span>
          {ends && (
            <button type="button" onClick={() => map.current?.finish()}>
              Done
            </button>
          )}
          <button
            type="button"
            onClick={() => {
              setPrompt('');
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
