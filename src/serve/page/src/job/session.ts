import {computed, signal} from '@preact/signals';

import {ApiError, askAnswer, type Diagnostic, loadJob, type Reply, saveJob} from '../api';
import {type Draft, dropDraft, keepDraft, readDraft} from './drafts';
import {merge} from './merge';
import {JobText, type Path} from './text';
import type {Document} from 'yaml';

/** How safe what was typed is. */
export type Safety = 'saved' | 'saving' | 'kept here' | 'clash';

/** Both changed the same lines: what the file says now, to choose against ours. */
export interface Clash {
  theirs: string;
  version: string;
}

const saveAfter = 500;
const askAfter = 120;
const retryAfter = 4000;
const undoDepth = 200;

/**
 * One job on the page: its text, what the engine says of it, and the way to the disk and back.
 *
 * Every change is kept in the browser at once, sent to the disk half a second later, and sent again until the
 * program takes it, so neither a reload nor a stopped program loses anything.
 */
export class Session {
  readonly job = signal(new JobText(''));
  readonly reply = signal<Reply | null>(null);
  readonly asking = signal(false);
  readonly safety = signal<Safety>('saved');
  readonly clash = signal<Clash | null>(null);
  readonly notice = signal('');
  readonly undoable = computed(() => this.depth.value > 0);
  readonly faults = computed(() => faultsByPath(this.job.value, this.reply.value?.diagnostics ?? []));

  private readonly depth = signal(0);
  private undoStack: string[] = [];
  private version = '';
  private base = '';
  private saveTimer: ReturnType<typeof setTimeout> | undefined;
  private askTimer: ReturnType<typeof setTimeout> | undefined;
  private asked: AbortController | undefined;
  private saving = false;

  constructor(readonly name: string) {}

  async open(): Promise<void> {
    const draft = readDraft(this.name);
    try {
      const stored = await loadJob(this.name);
      this.version = stored.version;
      this.base = stored.text;
      this.show(stored.text);
      if (draft && draft.text !== stored.text) this.bringBack(draft, stored.text);
    } catch (error) {
      if (draft && error instanceof ApiError && error.status === 0) {
        this.version = draft.version;
        this.base = draft.base;
        this.show(draft.text);
        this.safety.value = 'kept here';
        this.saveSoon(retryAfter);
        return;
      }
      throw error;
    }
  }

  /** Begins a job that is not on the disk yet. */
  async begin(text: string): Promise<void> {
    this.version = '';
    this.base = '';
    this.show(text);
    await this.save();
  }

  edit(change: (document: Document) => void): void {
    this.replace(this.job.value.edit(change).text);
  }

  replace(text: string): void {
    if (text === this.job.value.text) return;
    this.undoStack.push(this.job.value.text);
    if (this.undoStack.length > undoDepth) this.undoStack.shift();
    this.depth.value = this.undoStack.length;
    this.changed(text);
  }

  undo(): void {
    const before = this.undoStack.pop();
    this.depth.value = this.undoStack.length;
    if (before !== undefined) this.changed(before);
  }

  /** Another tab or program may have written the file: look, and take it up if nothing of ours is pending. */
  async refresh(): Promise<void> {
    if (this.safety.value !== 'saved') return;
    try {
      const stored = await loadJob(this.name);
      if (stored.version !== this.version && this.safety.value === 'saved') {
        this.version = stored.version;
        this.base = stored.text;
        this.show(stored.text);
        this.notice.value = 'The file was changed elsewhere; this is the new one.';
      }
    } catch {
      // Not reachable just now; the next save says so.
    }
  }

  settle(clash: Clash, keep: 'ours' | 'theirs'): void {
    this.clash.value = null;
    this.version = clash.version;
    this.base = clash.theirs;
    if (keep === 'theirs') {
      this.undoStack.push(this.job.value.text);
      this.depth.value = this.undoStack.length;
      this.show(clash.theirs);
      this.safety.value = 'saved';
      dropDraft(this.name);
    } else {
      void this.save();
    }
  }

  private bringBack(draft: Draft, stored: string): void {
    if (draft.base === stored) {
      this.replace(draft.text);
      this.notice.value = 'What you had typed is back.';
      return;
    }
    const joined = merge(draft.text, draft.base, stored);
    if (joined.conflicts === 0) {
      this.replace(joined.text);
      this.notice.value = 'What you had typed was joined with a change made elsewhere.';
    } else {
      this.changed(draft.text);
      this.askWhich(stored, this.version);
    }
  }

  private show(text: string): void {
    this.job.value = new JobText(text);
    this.askSoon();
  }

  private changed(text: string): void {
    this.show(text);
    this.safety.value = 'saving';
    keepDraft(this.name, {text, base: this.base, version: this.version});
    this.saveSoon(saveAfter);
  }

  private saveSoon(delay: number): void {
    clearTimeout(this.saveTimer);
    this.saveTimer = setTimeout(() => void this.save(), delay);
  }

  private async save(): Promise<void> {
    if (this.saving || this.clash.value) return;
    this.saving = true;
    const text = this.job.value.text;
    try {
      const reply = await saveJob(this.name, text, this.version);
      if (reply.done) this.saved(text, reply.version);
      else this.foundOther(text, reply.text ?? '', reply.version);
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
      dropDraft(this.name);
    } else {
      keepDraft(this.name, {text: this.job.value.text, base: text, version});
      this.saveSoon(saveAfter);
    }
  }

  private foundOther(ours: string, theirs: string, version: string): void {
    const joined = merge(ours, this.base, theirs);
    if (joined.conflicts > 0) {
      this.askWhich(theirs, version);
      return;
    }
    this.version = version;
    this.base = theirs;
    this.notice.value = 'Joined with a change made elsewhere.';
    this.changed(joined.text);
  }

  private askWhich(theirs: string, version: string): void {
    this.safety.value = 'clash';
    this.clash.value = {theirs, version};
  }

  private askSoon(): void {
    clearTimeout(this.askTimer);
    this.askTimer = setTimeout(() => void this.ask(), askAfter);
  }

  private async ask(): Promise<void> {
    this.asked?.abort();
    const control = new AbortController();
    this.asked = control;
    this.asking.value = true;
    try {
      this.reply.value = await askAnswer(this.name, this.job.value.text, control.signal);
    } catch (error) {
      if (error instanceof ApiError && error.status !== 0) this.notice.value = error.message;
    } finally {
      if (this.asked === control) this.asking.value = false;
    }
  }
}

export interface Fault extends Diagnostic {
  path: Path;
}

function faultsByPath(job: JobText, diagnostics: Diagnostic[]): Fault[] {
  return diagnostics.map(d => ({...d, path: d.line > 0 ? job.pathAt(d.line, d.column) : []}));
}

/** Faults at a path or inside it. */
export function faultsAt(faults: Fault[], path: Path): Fault[] {
  return faults.filter(f => path.every((step, i) => String(f.path[i]) === String(step)));
}
