import {stringify} from 'yaml';

/** What a new job begins with; everything else is asked on the page. */
export function starterJob(name: string, date: string): string {
  return `swingtie: 1
site:
  name: ${stringify(name, {lineWidth: 0}).trim()}
  units: ft
  inspected: ${date}
ground: {flat: true}
features: []
runs: []
ownership: {private_until: right-of-way, source: ask the city}
`;
}
