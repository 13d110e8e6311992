import {expect, it} from 'vitest';

import {merge} from '../src/job/merge';

const base = 'a\nb\nc\nd\ne\nf\n';

it('joins changes of different lines', () => {
  expect(merge('a\nB\nc\nd\ne\nf\n', base, 'a\nb\nc\nd\nE\nf\n')).toEqual({text: 'a\nB\nc\nd\nE\nf\n', conflicts: []});
});

it('tells a change of the same line and keeps ours', () => {
  expect(merge('a\nB1\nc\nd\ne\nf\n', base, 'a\nB2\nc\nd\ne\nf\n')).toEqual({text: 'a\nB1\nc\nd\ne\nf\n', conflicts: [{ours: ['B1'], theirs: ['B2']}]});
});

it('does not count the same change made twice', () => {
  expect(merge('a\nB\nc\nd\ne\nf\n', base, 'a\nB\nc\nd\ne\nf\n').conflicts).toEqual([]);
});
