import type {Pair} from '../api';
import {put} from '../job/text';
import {usePage} from './context';

const isPair = (value: unknown): value is Pair => Array.isArray(value) && value.length === 2 && value.every(n => typeof n === 'number');

interface Drawn {
  key: 'at' | 'line' | 'area';
  shape: 'point' | 'line' | 'area';
  points: Pair[];
}

/** The coordinates a feature is written by, if it is written by plain coordinates. */
function drawn(entry: unknown): Drawn | null {
  if (typeof entry !== 'object' || entry === null) return null;
  const {at, line, area} = entry as {at?: unknown; line?: unknown; area?: unknown};
  if (isPair(at)) return {key: 'at', shape: 'point', points: [at]};
  if (Array.isArray(line) && line.every(isPair)) return {key: 'line', shape: 'line', points: line};
  if (Array.isArray(area) && area.every(isPair)) return {key: 'area', shape: 'area', points: area};
  return null;
}

/** Drags the corners of a feature on the map, where it is written by coordinates. @param at  index among the features */
export function Reshape({at}: {at: number}) {
  const {session, map} = usePage();
  const found = drawn(session.job.value.at(['features', at]));
  if (!found) return null;
  const words = found.shape === 'point' ? 'Drag it to its place' : 'Drag the corners; pull at a side for a new one';
  const begin = () =>
    map.reshape(found.shape, found.points, words, points => {
      const rounded = points.map(p => p.map(c => Math.round(c * 100) / 100));
      session.edit(d => put(d, ['features', at, found.key], found.shape === 'point' ? rounded[0] : rounded));
    });
  return (
    <button type="button" class="wide" onClick={begin}>
      {found.shape === 'point' ? 'Move it on the map' : 'Move its corners on the map'}
    </button>
  );
}
