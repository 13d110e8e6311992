import {useEffect, useState} from 'preact/hooks';

import {drawSheets} from '../api';
import type {Session} from '../job/session';

const drawAfter = 300;

/** A sheet of the engine's own, as it will be printed, drawn anew after every change. */
export function SheetView({session, kind}: {session: Session; kind: 'dig' | 'route' | 'boundary'}) {
  const [pages, setPages] = useState<string[]>([]);
  const [larger, setLarger] = useState(1);
  const text = session.job.value.text;
  useEffect(() => {
    const control = new AbortController();
    const timer = setTimeout(() => {
      drawSheets(session.name, text, kind, control.signal).then(
        found => found.length > 0 && setPages(found),
        () => undefined,
      );
    }, drawAfter);
    return () => {
      clearTimeout(timer);
      control.abort();
    };
  }, [text, kind]);
  return (
    <>
      <div class="sheets" tabIndex={0} role="region" aria-label="The sheet">
        {pages.length === 0 && <p class="blank">drawing …</p>}
        {pages.map((svg, i) => (
          <img key={i} style={{width: `${larger * 100}%`}} alt={`Sheet ${i + 1} of ${pages.length}`} src={`data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`} />
        ))}
      </div>
      <div class="map-buttons">
        <button type="button" aria-label="Larger" onClick={() => setLarger(Math.min(6, larger * 1.5))}>
          +
        </button>
        <button type="button" aria-label="Smaller" onClick={() => setLarger(Math.max(1, larger / 1.5))}>
          −
        </button>
      </div>
    </>
  );
}
