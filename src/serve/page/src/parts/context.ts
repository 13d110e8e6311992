import {createContext} from 'preact';
import {useContext} from 'preact/hooks';

import type {Pair} from '../api';
import type {Session} from '../job/session';

/** A tap on the map, with the named corner it fell on, if any. */
export interface Tap {
  at: Pair;
  corner?: string;
}

/** What a step may ask of the map while it is open. */
export interface MapTasks {
  /** Takes the next tap; a second call replaces the first. */
  tap(prompt: string, done: (tap: Tap) => void): void;
  /** Lets a line or an area be drawn, snapping to what is there. */
  draw(shape: 'line' | 'area', prompt: string, done: (points: Pair[]) => void): void;
  cancel(): void;
}

export interface Page {
  session: Session;
  map: MapTasks;
}

export const PageContext = createContext<Page | null>(null);

export function usePage(): Page {
  const page = useContext(PageContext);
  if (!page) throw new Error('a part of the page stands outside it');
  return page;
}
