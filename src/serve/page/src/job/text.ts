import {type Document, isCollection, isMap, isPair, isScalar, isSeq, LineCounter, parseDocument, type Node, type Pair} from 'yaml';

import {keepLayout} from './merge';

export type Path = readonly (string | number)[];

const reading = {keepSourceTokens: false, strict: false, uniqueKeys: false, logLevel: 'silent'} as const;
/** As the job files are written: one line per entry, no blanks inside brackets, never folded. */
const writing = {lineWidth: 0, flowCollectionPadding: false, indentSeq: true} as const;

/** A job's YAML text with its tree. Never changed: an edit makes a new one. */
export class JobText {
  readonly document: Document;
  private readonly lineCounter = new LineCounter();

  constructor(readonly text: string) {
    this.document = parseDocument(text, {...reading, lineCounter: this.lineCounter});
  }

  get readable(): boolean {
    return this.document.errors.length === 0;
  }

  /** What stands at a path, as plain values; undefined where nothing does. */
  at(path: Path): unknown {
    const node = this.document.getIn(path, true);
    if (isScalar(node)) return node.value ?? undefined;
    return node === undefined || node === null ? undefined : (node as Node).toJS(this.document);
  }

  /** A scalar as it was typed: `14'6"`, `12.50`. */
  typed(path: Path): string {
    const node = this.document.getIn(path, true);
    if (!isScalar(node) || node.value === null) return '';
    if (typeof node.value === 'number' && node.source !== undefined) return node.source;
    return String(node.value);
  }

  list(path: Path): unknown[] {
    const value = this.at(path);
    return Array.isArray(value) ? value : [];
  }

  /** First line and column of what stands at a path, from 1. */
  lineOf(path: Path): number | undefined {
    const node = this.document.getIn(path, true) as Node | undefined;
    return node?.range ? this.lineCounter.linePos(node.range[0]).line : undefined;
  }

  /** The deepest entry that holds a place of the text: where to show what is wrong there. */
  pathAt(line: number, column: number): Path {
    const start = this.lineCounter.lineStarts[line - 1];
    if (start === undefined) return [];
    const offset = start + column - 1;
    const path: (string | number)[] = [];
    let node: unknown = this.document.contents;
    for (;;) {
      const step = isCollection(node) ? stepInto(node.items, isSeq(node), offset) : undefined;
      if (!step) return path;
      path.push(step.key);
      node = step.value;
    }
  }

  /**
   * The text after a change of its tree, with every line that the change does not concern left as it was written:
   * the library keeps comments and order but lays lines out anew, so its changed text is merged into ours.
   */
  edit(change: (document: Document) => void): JobText {
    const before = this.document.toString(writing);
    const copy = parseDocument(this.text, reading);
    change(copy);
    const after = copy.toString(writing);
    const result = new JobText(keepLayout(after, before, this.text));
    const same = result.readable && JSON.stringify(result.document.toJS()) === JSON.stringify(copy.toJS());
    return same ? result : new JobText(after);
  }
}

function stepInto(items: unknown[], isSequence: boolean, offset: number) {
  for (const [index, item] of items.entries()) {
    const [from, to, key, value] = extent(item, isSequence ? index : undefined);
    if (from <= offset && offset < Math.max(to, from + 1)) return {key, value};
  }
  return undefined;
}

function extent(item: unknown, index: number | undefined): [number, number, string | number, unknown] {
  if (isPair(item)) {
    const pair = item as Pair<Node, Node | null>;
    const from = pair.key.range?.[0] ?? 0;
    const to = pair.value?.range?.[1] ?? pair.key.range?.[1] ?? from;
    return [from, to, String(isScalar(pair.key) ? pair.key.value : pair.key), pair.value];
  }
  const node = item as Node | null;
  return [node?.range?.[0] ?? 0, node?.range?.[1] ?? 0, index ?? 0, node];
}

/** What a person typed, as the job file holds it: a number where it is one, else the words. */
export function scalar(typed: string): string | number {
  const trimmed = typed.trim();
  return /^-?\d+(\.\d+)?$/.test(trimmed) && Number.isFinite(Number(trimmed)) ? Number(trimmed) : trimmed;
}

/** Sets one value; an empty one takes the entry away. Lists and maps on the way are made. */
export function put(document: Document, path: Path, value: unknown): void {
  if (value === undefined || value === '') {
    document.deleteIn(path);
    return;
  }
  const old = document.getIn(path, true);
  if (isScalar(old) && (typeof value === 'string' || typeof value === 'number')) {
    old.value = value;
    delete old.source;
    if (typeof value === 'number') delete old.type;
    return;
  }
  makeParents(document, path);
  document.setIn(path, document.createNode(value, {flow: typeof value === 'object'} as object));
}

/** Adds an entry at the end of a list: on one line of its own, or as a block that has room for lists of its own. */
export function append(document: Document, path: Path, entry: Record<string, unknown>, layout: 'line' | 'block' = 'line'): void {
  makeParents(document, [...path, 0]);
  if (!isSeq(document.getIn(path, true))) document.setIn(path, document.createNode([]));
  const node = document.createNode(entry, {flow: layout === 'line'} as object);
  const list = document.getIn(path, true);
  if (isSeq(list)) {
    list.flow = false;
    list.add(node);
  }
}

function makeParents(document: Document, path: Path): void {
  for (let depth = 1; depth < path.length; depth += 1) {
    const here = path.slice(0, depth);
    const node = document.getIn(here, true);
    if (isMap(node) || isSeq(node)) continue;
    const isList = typeof path[depth] === 'number';
    document.setIn(here, document.createNode(isList ? [] : {}, {flow: !isList && depth > 1} as object));
  }
}
