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
  /** Takes a tap as meaning the nearest side of an area; gives the names of its corners, as `sw-se`. */
  side(prompt: string, area: string, done: (side: string) => void): void;
  /** Lets a line or an area be drawn, snapping to what is there. */
  draw(shape: 'line' | 'area', prompt: string, done: (points: Pair[]) => void): void;
  /** Lets the corners of what is drawn already be dragged, and corners be added on its sides. */
  reshape(shape: 'point' | 'line' | 'area', points: Pair[], prompt: string, done: (points: Pair[]) => void): void;
  cancel(): void;
}

export type Step = 'lot' | 'house' | 'marks' | 'run' | 'log' | 'locates' | 'answer' | 'text';

/** What a step shall show when it opens. */
export interface Focus {
  run?: number;
  /** Index of the log entry, locate or feature to open. */
  entry?: number;
  /** A counter to fill in. */
  counter?: string;
}

export interface Page {
  session: Session;
  map: MapTasks;
  focus: Focus;
  go(step: Step, focus?: Focus): void;
}

export const PageContext = createContext<Page | null>(null);

export function usePage(): Page {
  const page = useContext(PageContext);
  if (!page) throw new Error('a part of the page stands outside it');
  return page;
}
