import {diff3Merge, diffComm} from 'node-diff3';

const lines = (text: string) => text.split('\n');

export interface Merged {
  text: string;
  /** Places where both sides changed the same lines, and what each says there. */
  conflicts: {ours: string[]; theirs: string[]}[];
}

/** Joins two changes of one text, line by line; where both touched the same lines, `ours` is kept. */
export function merge(ours: string, base: string, theirs: string): Merged {
  const conflicts: Merged['conflicts'] = [];
  const out: string[] = [];
  for (const part of diff3Merge(lines(ours), lines(base), lines(theirs), {excludeFalseConflicts: true})) {
    if (part.ok) {
      out.push(...part.ok);
    } else if (part.conflict) {
      conflicts.push({ours: part.conflict.a, theirs: part.conflict.b});
      out.push(...part.conflict.a);
    }
  }
  return {text: out.join('\n'), conflicts};
}

/**
 * Brings an edit into a text that says the same as `base` in another layout: lines that the edit left alone keep the
 * layout of `original`.
 */
export function keepLayout(edited: string, base: string, original: string): string {
  const out: string[] = [];
  for (const part of diff3Merge(lines(edited), lines(base), lines(original), {excludeFalseConflicts: true})) {
    if (part.ok) {
      out.push(...part.ok);
    } else if (part.conflict) {
      const {a, o, b} = part.conflict;
      const at = placeOf(o, a);
      if (at !== undefined) out.push(...a.slice(0, at), ...b, ...a.slice(at + o.length));
      else out.push(...(o.length === b.length ? lineByLine(a, o, b) : a));
    }
  }
  return out.join('\n');
}

/** Where all of `part` stands in `whole`: what was edited then stands before or after it. */
function placeOf(part: string[], whole: string[]): number | undefined {
  for (let at = 0; at + part.length <= whole.length; at += 1) {
    if (part.length > 0 && part.every((line, i) => line === whole[at + i])) return at;
  }
  return undefined;
}

function lineByLine(edited: string[], base: string[], original: string[]): string[] {
  const out: string[] = [];
  let at = 0;
  for (const run of diffComm(base, edited)) {
    if ('common' in run && run.common) {
      out.push(...original.slice(at, at + run.common.length));
      at += run.common.length;
    } else if ('buffer1' in run) {
      out.push(...run.buffer2);
      at += run.buffer1.length;
    }
  }
  return out;
}
