import {computed, signal} from '@preact/signals';

import {ApiError, askAnswer, type Diagnostic, loadJob, type Reply, saveJob} from '../api';
import {type Draft, dropDraft, keepDraft, readDrafts} from './drafts';
import {merge} from './merge';
import {JobText, type Path} from './text';
import type {Document} from 'yaml';

/** How safe what was typed is. */
export type Safety = 'saved' | 'saving' | 'kept here' | 'clash';

/** Both changed the same lines. Either text has all other changes of both. */
export interface Clash {
  ours: string;
  theirs: string;
  lines: {ours: string[]; theirs: string[]}[];
}

const saveAfter = 500;
const askAfter = 150;
const retryAfter = 3000;
const undoDepth = 200;
/** Letters typed one after the other are undone as one. */
const oneStroke = 1500;

/**
 * One job on the page: its text, what the engine says of it, and the way to the disk and back.
 *
 * Every change is kept in the browser at once, sent to the disk half a second later, and sent again until the
 * program takes it, so neither a reload nor a stopped program loses anything. One question at a time is asked of the
 * engine, and none about a text that it has answered for.
 */
export class Session {
  readonly job = signal(new JobText(''));
  readonly reply = signal<Reply | null>(null);
  readonly asking = signal(false);
  readonly safety = signal<Safety>('saved');
  readonly clash = signal<Clash | null>(null);
  readonly notice = signal('');
  readonly undoable = computed(() => this.undoDepth.value > 0);
  readonly redoable = computed(() => this.redoDepth.value > 0);
  readonly faults = computed(() => faultsByPath(this.job.value, this.reply.value?.diagnostics ?? []));

  private readonly undoDepth = signal(0);
  private readonly redoDepth = signal(0);
  private undoStack: string[] = [];
  private redoStack: string[] = [];
  private lastStroke = {where: '', when: 0};
  private readonly page = Math.random().toString(36).slice(2);
  /** Pages whose drafts are part of the text now, to be dropped once it is on the disk. */
  private takenOver: string[] = [];
  private version = '';
  private base = '';
  private saveTimer: ReturnType<typeof setTimeout> | undefined;
  private askTimer: ReturnType<typeof setTimeout> | undefined;
  private answered: string | undefined;
  private saving = false;
  private closed = false;

  constructor(readonly name: string) {}

  async open(): Promise<void> {
    const drafts = readDrafts(this.name);
    try {
      const stored = await loadJob(this.name);
      this.version = stored.version;
      this.base = stored.text;
      this.show(stored.text);
    } catch (error) {
      const status = error instanceof ApiError ? error.status : -1;
      const draft = drafts[0]?.draft;
      if (!draft || (status !== 0 && !(status === 404 && draft.base === ''))) throw error;
      this.version = draft.version;
      this.base = draft.base;
      this.show(draft.base);
    }
    this.bringBack(drafts);
  }

  /** Begins a job that is not on the disk yet. */
  async begin(text: string): Promise<void> {
    this.version = '';
    this.base = '';
    this.show(text);
    this.keep(text);
    await this.save();
  }

  /** Nothing more is asked or saved by itself; what is not on the disk stays in the browser. */
  close(): void {
    this.closed = true;
    clearTimeout(this.askTimer);
    if (this.safety.value === 'saving') void this.save();
    clearTimeout(this.saveTimer);
  }

  edit(change: (document: Document) => void): void {
    this.replace(this.job.value.edit(change).text);
  }

  replace(text: string): void {
    if (text === this.job.value.text) return;
    this.remember();
    this.lastStroke = {where: '', when: 0};
    this.changed(text);
  }

  /** The text with another letter in it. @param where  letters typed there one after the other are undone as one */
  type(text: string, where: string): void {
    if (text === this.job.value.text) return;
    const now = Date.now();
    if (this.lastStroke.where !== where || now - this.lastStroke.when > oneStroke) this.remember();
    this.lastStroke = {where, when: now};
    this.changed(text);
  }

  undo(): void {
    const before = this.undoStack.pop();
    if (before === undefined) return;
    this.redoStack.push(this.job.value.text);
    this.count();
    this.lastStroke = {where: '', when: 0};
    this.changed(before);
  }

  redo(): void {
    const after = this.redoStack.pop();
    if (after === undefined) return;
    this.undoStack.push(this.job.value.text);
    this.count();
    this.lastStroke = {where: '', when: 0};
    this.changed(after);
  }

  /** Another tab or program may have written the file: look, and take it up if nothing of ours is pending. */
  async refresh(): Promise<void> {
    if (this.safety.value !== 'saved') return;
    const before = this.version;
    try {
      const stored = await loadJob(this.name);
      // What was typed and saved while the answer was on its way is newer than the answer.
      const unmoved = this.safety.value === 'saved' && this.version === before;
      if (stored.version !== before && unmoved) {
        this.remember();
        this.version = stored.version;
        this.base = stored.text;
        this.show(stored.text);
        this.notice.value = 'The file was changed elsewhere; this is the new one.';
      }
    } catch {
      // Not reachable just now; the next save says so.
    }
  }

  /** The choice can be undone: the other text is one step back. */
  settle(clash: Clash, choice: 'ours' | 'theirs'): void {
    this.clash.value = null;
    this.undoStack.push(choice === 'ours' ? clash.theirs : clash.ours);
    this.redoStack = [];
    this.count();
    this.changed(clash[choice]);
  }

  private remember(): void {
    this.undoStack.push(this.job.value.text);
    if (this.undoStack.length > undoDepth) this.undoStack.shift();
    this.redoStack = [];
    this.count();
  }

  private count(): void {
    this.undoDepth.value = this.undoStack.length;
    this.redoDepth.value = this.redoStack.length;
  }

  /** Joins what was typed into the job, here or on pages that are gone, with what it says now. */
  private bringBack(drafts: {page: string; draft: Draft}[]): void {
    for (const {page, draft} of drafts) {
      const now = this.job.value.text;
      const joined = merge(draft.text, draft.base, now);
      this.takenOver.push(page);
      // One question at a time: the drafts after this one stay where they are until the job is opened again.
      if (joined.conflicts.length > 0) return this.askWhich(draft.text, draft.base, now);
      if (joined.text === now) continue;
      this.replace(joined.text);
      this.notice.value = draft.base === now ? 'What you had typed is back.' : 'What you had typed was joined with a change made elsewhere.';
    }
    if (this.safety.value === 'saved') this.dropDrafts();
  }

  private keep(text: string, base = this.base): void {
    keepDraft(this.page, this.name, {text, base, version: this.version, when: Date.now()});
  }

  private dropDrafts(): void {
    for (const page of [this.page, ...this.takenOver]) dropDraft(page, this.name);
    this.takenOver = [];
  }

  private show(text: string): void {
    this.job.value = new JobText(text);
    this.askSoon();
  }

  private changed(text: string): void {
    this.show(text);
    this.safety.value = 'saving';
    this.keep(text);
    this.saveSoon(saveAfter);
  }

  private saveSoon(delay: number): void {
    clearTimeout(this.saveTimer);
    if (!this.closed) this.saveTimer = setTimeout(() => void this.save(), delay);
  }

  private async save(): Promise<void> {
    if (this.saving || this.clash.value) return;
    this.saving = true;
    const text = this.job.value.text;
    try {
      const reply = await saveJob(this.name, text, this.version);
      if (reply.done) this.saved(text, reply.version);
      else this.foundOther(reply.text ?? '', reply.version);
      this.askSoon();
    } catch (error) {
      this.safety.value = 'kept here';
      const refused = error instanceof ApiError && error.status !== 0;
      if (refused) this.notice.value = `Not saved: ${error.message}. It is kept in this browser.`;
      this.saveSoon(retryAfter);
    } finally {
      this.saving = false;
    }
  }

  private saved(text: string, version: string): void {
    this.version = version;
    this.base = text;
    if (this.job.value.text === text) {
      this.safety.value = 'saved';
      this.dropDrafts();
    } else {
      this.keep(this.job.value.text);
      this.saveSoon(saveAfter);
    }
  }

  private foundOther(theirs: string, version: string): void {
    const base = this.base;
    const ours = this.job.value.text;
    const joined = merge(ours, base, theirs);
    this.version = version;
    this.base = theirs;
    if (joined.conflicts.length > 0) return this.askWhich(ours, base, theirs);
    this.notice.value = 'Joined with a change made elsewhere.';
    this.changed(joined.text);
  }

  /** What is typed until the question is answered stays on this page, and the file as it is. */
  private askWhich(ours: string, base: string, theirs: string): void {
    const joined = merge(ours, base, theirs);
    this.show(joined.text);
    this.keep(ours, base);
    this.safety.value = 'clash';
    this.clash.value = {ours: joined.text, theirs: merge(theirs, base, ours).text, lines: joined.conflicts};
  }

  private askSoon(): void {
    clearTimeout(this.askTimer);
    if (!this.closed && this.answered !== this.job.value.text) this.askTimer = setTimeout(() => void this.ask(), askAfter);
  }

  private async ask(): Promise<void> {
    const text = this.job.value.text;
    if (this.asking.value || text === this.answered) return;
    this.asking.value = true;
    try {
      this.reply.value = await askAnswer(this.name, text);
      this.answered = text;
    } catch (error) {
      // A program that does not answer is asked again when it takes the next save.
      if (!(error instanceof ApiError)) throw error;
      if (error.status === 429) this.askTimer = setTimeout(() => void this.ask(), retryAfter);
      else if (error.status !== 0) this.notice.value = error.message;
    } finally {
      this.asking.value = false;
    }
    if (this.job.value.text !== text) this.askSoon();
  }
}

export interface Fault extends Diagnostic {
  path: Path;
}

/** Faults at a path or inside it. */
export function faultsAt(faults: Fault[], path: Path): Fault[] {
  return faults.filter(f => path.every((step, i) => String(f.path[i]) === String(step)));
}

/** What there is to mend: that there is no run yet is no mistake of somebody who has just begun. */
function faultsByPath(job: JobText, diagnostics: Diagnostic[]): Fault[] {
  const begun = job.list(['runs']).length > 0;
  const faults = diagnostics.map(d => ({...d, path: d.line > 0 ? job.pathAt(d.line, d.column) : []}));
  return begun ? faults : faults.filter(f => !(f.path.length === 1 && f.path[0] === 'runs'));
}
