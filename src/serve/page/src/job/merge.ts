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
    if (part.ok) out.push(...part.ok);
    else if (part.conflict) out.push(...inLayout(part.conflict.a, part.conflict.o, part.conflict.b));
  }
  return out.join('\n');
}

/** The edited lines, with what they share with the base as the original lays it out. */
function inLayout(edited: string[], base: string[], original: string[]): string[] {
  const pieces = sameWords(base, original);
  if (!pieces) return edited;
  const runs = diffComm(base, edited).map(run => ('buffer1' in run ? {shared: [], gone: run.buffer1, come: run.buffer2} : {shared: run.common ?? [], gone: [], come: []}));
  const kept = runs.flatMap(run => [...run.shared.map(() => true), ...run.gone.map(() => false)]);
  const out: string[] = [];
  let at = 0;
  for (const run of runs) {
    out.push(...(run.come ?? []));
    at += run.gone.length;
    for (const line of run.shared) {
      const piece = pieces.find(p => p.from <= at && at < p.to)!;
      if (!kept.slice(piece.from, piece.to).every(Boolean)) out.push(line);
      else if (at === piece.from) out.push(...piece.original);
      at += 1;
    }
  }
  return out;
}

interface Piece {
  /** Lines of the base, and how the original lays out the same words. */
  from: number;
  to: number;
  original: string[];
}

/** The smallest pieces of two texts that hold the same letters; nothing if the texts do not. */
function sameWords(base: string[], original: string[]): Piece[] | undefined {
  const letters = (line: string) => line.replace(/\s/g, '');
  const pieces: Piece[] = [];
  let [from, to, start, end] = [0, 0, 0, 0];
  let [left, right] = ['', ''];
  while (to < base.length || end < original.length) {
    if (to < base.length && (left.length <= right.length || end === original.length)) left += letters(base[to++]!);
    else right += letters(original[end++]!);
    if (left !== right || left === '') continue;
    pieces.push({from, to, original: original.slice(start, end)});
    [from, start, left, right] = [to, end, '', ''];
  }
  if (left !== right) return undefined;
  // Blank lines at the end have no letters to be matched by.
  if (from < to) pieces.push({from, to, original: original.slice(start)});
  else pieces.at(-1)?.original.push(...original.slice(start));
  return pieces;
}
