/** The local API of `swingtie serve`; see openapi.yaml. The page computes nothing: it asks here. */

export interface Diagnostic {
  severity: 'error' | 'warning';
  line: number;
  column: number;
  length: number;
  message: string;
  expected: string;
  hint: string;
}

export type Pair = [number, number];

export interface ViewFeature {
  id: string;
  label: string;
  kind: string;
  shape: 'point' | 'line' | 'area';
  /** A point: pairs; lines: lists of pairs; areas: lists of rings. */
  parts: unknown[];
  corners: {name: string; at: Pair}[];
  trunk?: number;
  spread?: number;
  width?: number;
}

export interface View {
  features: ViewFeature[];
  runs: {id: string; access: Pair | null; locates: {at: number; position: Pair; within: number; line: number}[]}[];
  /** The lot seen from the street: the corners of its front edge, and the grid azimuth in degrees that one looks along. */
  front: {lot: string; left: string; right: string; up: number} | null;
}

export interface Tie {
  from: string;
  distance: number;
  distance95: Pair;
  tape: string;
  says: string;
  check: boolean;
}

export interface GeoArea {
  type: 'Polygon' | 'MultiPolygon';
  coordinates: unknown[];
}

export interface Answer {
  units: string;
  verdict: {kind: 'agree' | 'explained' | 'contradiction'; readings: number};
  lines: {
    id: string;
    length: number;
    stations: {station: number; e: number; n: number; depth: number; depth95: Pair; basis: string}[];
    corridor95: GeoArea;
  }[];
  items: {
    run: string;
    at: number;
    what: string;
    act: 'dig' | 'watch' | 'none';
    e: number;
    n: number;
    depth: number;
    depth95: Pair;
    private_probability: number | null;
    region95: GeoArea;
    says: string[];
  }[];
  crossings: {feature: string; kind: string; station: number; station95: Pair; e: number; n: number; says: string}[];
  locates: {run: string; at: number; along: number; across: number; wrong_probability: number}[];
  explanations: {run: string; what: string; at: number; probability: number; says: string; job_line?: number}[];
  alternatives: {line: string; probability: number; because: string[]; route: Pair[]}[];
  dig: {
    run: string;
    at: number;
    what: string;
    window: GeoArea;
    window_length: number;
    window_width: number;
    contains_probability: number;
    depth: number;
    depth95: Pair;
    ties: Tie[];
    finder_radius95: number;
    side: string;
    offset: string;
    thresholds: string[];
    conflicts: {what: string; says: string}[];
  }[];
  next_locates: {run: string; at: number; for: string; now95: number; then95: number; enough: boolean; says: string}[];
  cautions: string[];
}

export interface Reply {
  diagnostics: Diagnostic[];
  view: View | null;
  answer: Answer | null;
}

export interface Stored {
  name: string;
  text: string;
  version: string;
}

export type SaveReply = {done: true; version: string} | {done: false; version: string; text: string | null};

/** The server said no, or could not be reached (status 0). */
export class ApiError extends Error {
  constructor(
    readonly status: number,
    message: string,
  ) {
    super(message);
  }
}

/** The key is in the fragment, which a browser never sends, and stays for the tab so that a reload keeps working. */
function key(): string {
  const found = /key=([0-9a-f]+)/.exec(location.hash)?.[1];
  if (found) sessionStorage.setItem('swingtie-key', found);
  return found ?? sessionStorage.getItem('swingtie-key') ?? '';
}

async function call(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<Response> {
  const init: RequestInit = {method, headers: {'X-Swingtie-Token': key(), 'Content-Type': 'application/json'}};
  if (body instanceof Blob) init.body = body;
  else if (body !== undefined) init.body = JSON.stringify(body);
  if (signal) init.signal = signal;
  try {
    return await fetch(path, init);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new ApiError(0, 'the program on this machine does not answer');
  }
}

async function refused(response: Response): Promise<ApiError> {
  const said = (await response.json().catch(() => ({}))) as {error?: string; hint?: string};
  const why = said.error ?? response.statusText;
  return new ApiError(response.status, said.hint ? `${why}; ${said.hint}` : why);
}

async function read<T>(response: Response): Promise<T> {
  if (!response.ok) throw await refused(response);
  return (await response.json()) as T;
}

const encoded = (name: string) => name.split('/').map(encodeURIComponent).join('/');

export async function listJobs(): Promise<string[]> {
  return (await read<{jobs: string[]}>(await call('GET', '/api/jobs'))).jobs;
}

export async function loadJob(name: string): Promise<Stored> {
  return read<Stored>(await call('GET', `/api/jobs/${encoded(name)}`));
}

export async function saveJob(name: string, text: string, baseVersion: string): Promise<SaveReply> {
  const response = await call('PUT', `/api/jobs/${encoded(name)}`, {text, base_version: baseVersion});
  if (response.status === 409) {
    const now = (await response.json()) as {version: string; text: string | null};
    return {done: false, version: now.version, text: now.text};
  }
  return {done: true, version: (await read<{version: string}>(response)).version};
}

export async function askAnswer(name: string, text: string): Promise<Reply> {
  return read<Reply>(await call('POST', '/api/answer', {name, text}));
}

export async function drawSheets(name: string, text: string, sheet: string, signal: AbortSignal): Promise<string[]> {
  return (await read<{pages: string[]}>(await call('POST', '/api/draw', {name, text, sheet}, signal))).pages;
}

export async function tellWords(name: string, text: string, audience: string): Promise<string> {
  return (await read<{words: string}>(await call('POST', '/api/tell', {name, text, for: audience}))).words;
}

/** A finished file and what it is called. */
export interface Made {
  bytes: Blob;
  file: string;
}

async function made(response: Response): Promise<Made> {
  if (!response.ok) throw await refused(response);
  const file = /filename="([^"]+)"/.exec(response.headers.get('Content-Disposition') ?? '')?.[1] ?? 'swingtie';
  return {bytes: await response.blob(), file};
}

export async function makeSheet(name: string, text: string, sheet: string, format: 'pdf' | 'html'): Promise<Made> {
  return made(await call('POST', '/api/draw', {name, text, sheet, format}));
}

export async function makeData(name: string, text: string, format: string): Promise<Made> {
  return made(await call('POST', '/api/export', {name, text, format}));
}

export async function loadPhoto(name: string): Promise<Blob> {
  const response = await call('GET', `/api/photos/${encoded(name)}`);
  if (!response.ok) throw await refused(response);
  return response.blob();
}

/** @return false when there is a photo of that name already */
export async function addPhoto(name: string, picture: Blob): Promise<boolean> {
  const response = await call('PUT', `/api/photos/${encoded(name)}`, picture);
  if (response.status === 409) return false;
  if (!response.ok) throw await refused(response);
  return true;
}
