export type Units = 'ft' | 'us-ft' | 'm';

/** The job's unit; feet where it does not say. */
export function unitsOf(value: unknown): Units {
  return value === 'm' || value === 'us-ft' ? value : 'ft';
}

const fractions: Record<string, string> = {'¼': '1/4', '½': '1/2', '¾': '3/4', '⅛': '1/8', '⅜': '3/8', '⅝': '5/8', '⅞': '7/8'};
const feetMark = String.raw`\s*(?:'|ft\.?|feet|foot)\s*-?\s*`;
const inches = String.raw`(\d{1,2}(?:\.\d+)?)(?:[\s-]+(\d+\/\d+))?`;
const inchMark = String.raw`\s*(?:"|in\.?|inch|inches)?`;
/** Feet, then inches after a mark of feet, a dash or a blank. */
const feetAndInches = new RegExp(`^(\\d+)(?:${feetMark}|\\s*-\\s*|\\s+)${inches}${inchMark}$`, 'i');
/** Feet and a part of an inch: without a mark of feet `5 1/2` would mean five and a half. */
const feetAndFraction = new RegExp(`^(\\d+)${feetMark}(\\d+\\/\\d+)${inchMark}$`, 'i');
const feetOnly = new RegExp(`^(\\d+(?:\\.\\d+)?)${feetMark}$`, 'i');

/**
 * A length as the job file takes it, from what people type with one thumb. In feet `14 6`, `14-6`, `14' 6`, `14ft 6in`,
 * `14'-6½"` and the like become feet and inches; everything else is left for the reader, which says what is wrong with it.
 */
export function tidyLength(typed: string, units: Units): string {
  const text = typed
    .trim()
    .replace(/[’′‘´`]/g, "'")
    .replace(/[”″“]|''/g, '"')
    .replace(/\s*([¼½¾⅛⅜⅝⅞])/g, (_, sign: string) => ` ${fractions[sign]}`)
    .replace(/,(?=\d)/g, '.')
    .trim();
  if (units === 'm') return text;
  const both = feetAndInches.exec(text);
  if (both) return `${both[1]}'${both[2]}${both[3] ? ` ${both[3]}` : ''}"`;
  const part = feetAndFraction.exec(text);
  if (part) return `${part[1]}'0 ${part[2]}"`;
  const feet = feetOnly.exec(text);
  return feet ? `${feet[1]}'` : text;
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
