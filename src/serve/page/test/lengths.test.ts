import {describe, expect, it} from 'vitest';

import {showLength, tidyLength} from '../src/job/lengths';

describe('a typed length', () => {
  it.each([
    ['14 6', '14\'6"'],
    ['14-6', '14\'6"'],
    ["14' 6", '14\'6"'],
    ['14’6”', '14\'6"'],
    ['14 6 1/2', '14\'6 1/2"'],
    ['14\'6-1/2"', '14\'6 1/2"'],
    ['14.5', '14.5'],
    ['66 in', '66 in'],
    ["9'", "9'"],
    ['9 ft', "9'"],
    ['14ft 6in', '14\'6"'],
    ['14 feet 6 inches', '14\'6"'],
    ['14\'-6½"', '14\'6 1/2"'],
    ['14 6.5', '14\'6.5"'],
    ["14' 1/2", '14\'0 1/2"'],
    ["14'½", '14\'0 1/2"'],
    ['5 1/2', '5 1/2'],
    ['14´6´´', '14\'6"'],
    ['-30', '-30'],
    ['145', '145'],
    ['1.7 m', '1.7 m'],
    ['twelve', 'twelve'],
  ])('%s in feet', (typed, tidy) => expect(tidyLength(typed, 'ft')).toBe(tidy));

  it.each([
    ['4,25', '4.25'],
    ['4 25', '4 25'],
  ])('%s in metres', (typed, tidy) => expect(tidyLength(typed, 'm')).toBe(tidy));
});

describe('a shown length', () => {
  it('carries twelve inches into the foot', () => expect(showLength(5.99, 'ft')).toBe('6\'0"'));
  it('is metres to the centimetre', () => expect(showLength(1.234, 'm')).toBe('1.23 m'));
});
