import type {ViewFeature} from '../api';

export type Named = [key: string, words: string];

const far = new Set(['lot', 'right-of-way']);

/**
 * Names that a tape can start from: every corner, and every feature that is a point. The house comes first and the
 * lot last: a tape goes to what one can see.
 */
export function namedPoints(features: ViewFeature[], without?: string): Named[] {
  const rank = (f: ViewFeature) => (f.kind === 'house' ? 0 : far.has(f.kind) ? 2 : 1);
  return features
    .filter(f => f.id !== without)
    .sort((a, b) => rank(a) - rank(b))
    .flatMap(f => (f.shape === 'point' ? [[f.id, f.label] as Named] : f.corners.map(c => [`${f.id}.${c.name}`, `${f.label}, ${cornerWords(c.name)}`] as Named)));
}

/** Edges one can walk along: of areas from corner to corner, and whole lines. */
export function namedEdges(features: ViewFeature[]): Named[] {
  const rank = (f: ViewFeature) => (f.kind === 'house' ? 0 : f.kind === 'curb' ? 1 : 2);
  return [...features]
    .sort((a, b) => rank(a) - rank(b))
    .flatMap(f => {
      if (f.shape === 'line') return [[f.id, f.label] as Named];
      if (f.shape !== 'area') return [];
      return f.corners.flatMap((c, i) => {
        const next = f.corners[(i + 1) % f.corners.length]!;
        const edge = (from: string, to: string) => [`${f.id}.${from}-${to}`, `${f.label}, ${cornerWords(from)} to ${cornerWords(to)}`] as Named;
        return [edge(c.name, next.name), edge(next.name, c.name)];
      });
    });
}

const corners: Record<string, string> = {fl: 'front left', fr: 'front right', bl: 'back left', br: 'back right'};

export function cornerWords(name: string): string {
  return corners[name] ?? name;
}

/** Sides that two tapes can be told apart by, the street first. */
export function namedSides(features: ViewFeature[], without?: string): Named[] {
  const usual = ['curb', 'house', 'lot', 'right-of-way', 'main'];
  return [
    ...usual
      .flatMap(kind => features.filter(f => f.kind === kind && f.id !== without).slice(0, 1))
      .flatMap(f => [[`toward ${f.id}`, `toward the ${f.label}`] as Named, [`away from ${f.id}`, `away from the ${f.label}`] as Named]),
    ...['north', 'east', 'south', 'west'].map(w => [w, w] as Named),
  ];
}
