import {describe, expect, it} from 'vitest';

import {append, JobText, put, scalar} from '../src/job/text';
import {starterJob} from '../src/parts/starter';

const job = `swingtie: 1
site:
  name: 4 Alder Court     # the corner lot
  units: ft

# measured twice
features:
  - {id: house,   kind: house, walls: {start: [0, 0], heading: N 0 E, legs: ["28", "R 42"]}}
  - {id: elm, kind: tree, at: {ties: {house.1: 40'4", house.2: 33'6"}, side: toward house}, trunk: 14 in}
runs:
  - id: R1
    from: {at: [3, 4], drop: 2.5}
    log:
      - {at: 0, pipe: 4 in cast iron}   # from the floor
      - {at: 17.50, bend: left 45}
`;

describe('a job text', () => {
  it('keeps every line that an edit does not concern, to the letter', () => {
    const edited = new JobText(job).edit(d => put(d, ['runs', 0, 'log', 1, 'bend'], 'right 45'));
    const changed = edited.text.split('\n').filter((line, i) => line !== job.split('\n')[i]);
    expect(changed).toEqual(['      - {at: 17.50, bend: right 45}']);
  });

  it('adds an entry to the log on a line of its own', () => {
    const edited = new JobText(job).edit(d => append(d, ['runs', 0, 'log'], {at: 41, see: 'roots, soil', act: 'dig'}));
    expect(edited.text).toBe(job + '      - {at: 41, see: "roots, soil", act: dig}\n');
  });

  it('starts lists that are not there yet', () => {
    const edited = new JobText(job).edit(d => append(d, ['runs', 0, 'locates'], {at: 41, position: [1, 2]}));
    expect(edited.list(['runs', 0, 'locates'])).toEqual([{at: 41, position: [1, 2]}]);
    expect(edited.text.startsWith(job.trimEnd())).toBe(true);
  });

  it('takes an entry away when its value is emptied', () => {
    const edited = new JobText(job).edit(d => put(d, ['features', 1, 'trunk'], ''));
    expect(edited.at(['features', 1, 'trunk'])).toBeUndefined();
    expect(edited.text).toContain('# the corner lot');
  });

  it('gives a value back as it was typed', () => {
    const text = new JobText(job);
    expect(text.typed(['runs', 0, 'log', 1, 'at'])).toBe('17.50');
    expect(text.typed(['features', 1, 'at', 'ties', 'house.1'])).toBe('40\'4"');
  });

  it('finds the entry that holds a place of the text', () => {
    const text = new JobText(job);
    const line = job.split('\n').findIndex(l => l.includes('left 45')) + 1;
    expect(text.pathAt(line, job.split('\n')[line - 1]!.indexOf('left') + 1)).toEqual(['runs', 0, 'log', 1, 'bend']);
    expect(text.pathAt(3, 9)).toEqual(['site', 'name']);
    expect(text.pathAt(999, 1)).toEqual([]);
  });

  it('survives an edit of an empty file', () => {
    const edited = new JobText('').edit(d => put(d, ['site', 'name'], 'Somewhere'));
    expect(edited.at(['site', 'name'])).toBe('Somewhere');
  });
});

describe('what a person typed', () => {
  it.each([
    ['12', 12],
    [' 12.5 ', 12.5],
    ['14\'6"', '14\'6"'],
    ['1e5', '1e5'],
    ['N 12 E', 'N 12 E'],
  ])('%s', (typed, kept) => expect(scalar(typed)).toBe(kept));
});

describe('an entry added before a line with a remark', () => {
  it('leaves the remark where it is', () => {
    const text = `runs:
  - id: R1
    log:                # what the camera met
      - {at: 0, pipe: 4 in clay}
    locates:            # where the receiver stood
      - {at: 9, position: [1, 2]}
`;
    const added = new JobText(text).edit(d => append(d, ['runs', 0, 'log'], {at: 5, see: 'roots'}));
    expect(added.text).toBe(text.replace('    locates', '      - {at: 5, see: roots}\n    locates'));
    const both = added.edit(d => put(d, ['runs', 0, 'locates', 0, 'depth'], 5));
    expect(both.text).toBe(added.text.replace('[1, 2]}', '[1, 2], depth: 5}'));
  });
});

describe('a job made from nothing', () => {
  it('reads like one written by a person: an entry a line', () => {
    const edits: ((d: Parameters<Parameters<JobText['edit']>[0]>[0]) => void)[] = [
      d => append(d, ['features'], {id: 'lot', kind: 'lot', area: [[0, 0], [0, 9], [9, 9]]}),
      d => append(d, ['runs'], {id: 'R1'}, 'block'),
      d => put(d, ['runs', 0, 'from', 'at'], {along: 'lot.1-2', from: 'lot.1', go: 9}),
      d => put(d, ['runs', 0, 'from', 'what'], 'basement floor clean-out'),
      d => append(d, ['runs', 0, 'log'], {at: 0, pipe: '4 in clay'}),
      d => append(d, ['runs', 0, 'log'], {at: 9, bend: 'left 45'}),
      d => append(d, ['runs', 0, 'locates'], {at: 9}),
      d => put(d, ['runs', 0, 'locates', 0, 'depth', 'along'], 5),
    ];
    expect(edits.reduce((job, edit) => job.edit(edit), new JobText(starterJob('4 Alder Court, "Elms"', '2026-04-18'))).text).toBe(`swingtie: 1
site:
  name: 4 Alder Court, "Elms"
  units: ft
  inspected: 2026-04-18
ground: {flat: true}
features:
  - {id: lot, kind: lot, area: [[0, 0], [0, 9], [9, 9]]}
runs:
  - id: R1
    from: {at: {along: lot.1-2, from: lot.1, go: 9}, what: basement floor clean-out}
    log:
      - {at: 0, pipe: 4 in clay}
      - {at: 9, bend: left 45}
    locates:
      - {at: 9, depth: {along: 5}}
ownership: {private_until: right-of-way, source: ask the city}
`);
  });
});
