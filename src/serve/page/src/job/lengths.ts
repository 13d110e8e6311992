export type Units = 'ft' | 'us-ft' | 'm';

/** The job's unit; feet where it does not say. */
export function unitsOf(value: unknown): Units {
  return value === 'm' || value === 'us-ft' ? value : 'ft';
}

/**
 * A length as the job file takes it, from what people type with one thumb. In feet `14 6`, `14-6`, `14' 6`, `14'6` and
 * `14 6 1/2` become feet and inches; everything else is left for the reader, which says what is wrong with it.
 */
export function tidyLength(typed: string, units: Units): string {
  let text = typed.trim().replace(/[’′‘]/g, "'").replace(/[”″“]|''/g, '"').replace(/,(?=\d)/g, '.');
  if (units === 'm') return text;
  text = text.replace(/\s*'\s*/, "'").replace(/\s*"\s*$/, '"');
  const parts = /^(\d+)(?:\s+|-|')(\d{1,2})(?:[\s-]+(\d+\/\d+))?"?$/.exec(text);
  if (!parts) return text;
  const [, feet, inches, fraction] = parts;
  return `${feet}'${inches}${fraction ? ` ${fraction}` : ''}"`;
}

/** A number of the engine's for people: feet and inches or metres, to what a tape shows. */
export function showLength(value: number, units: Units): string {
  if (units === 'm') return `${value.toFixed(2)} m`;
  const inches = Math.round(Math.abs(value) * 12);
  return `${value < 0 ? '-' : ''}${Math.floor(inches / 12)}'${inches % 12}"`;
}

/** A station or counter reading: plain, to a tenth. */
export function showCounter(value: number): string {
  return String(Math.round(value * 10) / 10);
}
