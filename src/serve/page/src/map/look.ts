import type {FeatureLike} from 'ol/Feature';
import {Circle as Dot, Fill, RegularShape, Stroke, Style, Text} from 'ol/style';

/** Colours of the map, taken from the page's style sheet so that light and dark follow it. */
export type Palette = Record<'ink' | 'soft' | 'paper' | 'route' | 'corridor' | 'dig' | 'tree' | 'water' | 'gas' | 'power' | 'comms' | 'limit', string>;

export function readPalette(element: Element): Palette {
  const css = getComputedStyle(element);
  const get = (name: string) => css.getPropertyValue(`--map-${name}`).trim() || '#000';
  return {
    ink: get('ink'),
    soft: get('soft'),
    paper: get('paper'),
    route: get('route'),
    corridor: get('corridor'),
    dig: get('dig'),
    tree: get('tree'),
    water: get('water'),
    gas: get('gas'),
    power: get('power'),
    comms: get('comms'),
    limit: get('limit'),
  };
}

export function styleOf(palette: Palette): (feature: FeatureLike) => Style {
  const stroke = (color: string, width: number, lineDash?: number[]) => new Stroke(lineDash ? {color, width, lineDash} : {color, width});
  const dot = (color: string, radius: number) => new Dot({radius, declutterMode: 'none', fill: new Fill({color}), stroke: stroke(palette.paper, 1.5)});
  const looks: Record<string, Style> = {
    lot: new Style({stroke: stroke(palette.soft, 1.5, [14, 4, 2, 4])}),
    house: new Style({stroke: stroke(palette.ink, 2.5), fill: new Fill({color: `${palette.soft}40`})}),
    curb: new Style({stroke: stroke(palette.ink, 1.5)}),
    'right-of-way': new Style({stroke: stroke(palette.limit, 2, [10, 5])}),
    tree: new Style({image: dot(palette.tree, 5)}),
    crown: new Style({stroke: stroke(palette.tree, 1.5, [3, 4])}),
    main: new Style({stroke: stroke(palette.route, 3, [16, 5])}),
    water: new Style({stroke: stroke(palette.water, 2, [8, 4])}),
    gas: new Style({stroke: stroke(palette.gas, 2, [8, 4])}),
    electric: new Style({stroke: stroke(palette.power, 2, [8, 4])}),
    comms: new Style({stroke: stroke(palette.comms, 2, [8, 4])}),
    access: new Style({image: new RegularShape({declutterMode: 'none', points: 4, radius: 8, angle: Math.PI / 4, fill: new Fill({color: palette.paper}), stroke: stroke(palette.ink, 2)})}),
    locate: new Style({image: new RegularShape({declutterMode: 'none', points: 4, radius: 8, radius2: 0, stroke: stroke(palette.ink, 2)})}),
    'locate-area': new Style({stroke: stroke(palette.soft, 1, [2, 3])}),
    corridor: new Style({fill: new Fill({color: palette.corridor})}),
    route: new Style({stroke: stroke(palette.route, 3.5)}),
    'other-route': new Style({stroke: stroke(palette.route, 2, [4, 6])}),
    window: new Style({stroke: stroke(palette.dig, 2.5), fill: new Fill({color: `${palette.dig}30`})}),
    'item-dig': new Style({image: new RegularShape({declutterMode: 'none', points: 3, radius: 9, fill: new Fill({color: palette.dig}), stroke: stroke(palette.paper, 1.5)})}),
    'item-watch': new Style({image: dot(palette.dig, 6)}),
    'item-none': new Style({image: dot(palette.soft, 4)}),
    crossing: new Style({image: new RegularShape({declutterMode: 'none', points: 4, radius: 7, angle: 0, stroke: stroke(palette.limit, 2.5)})}),
  };
  looks['changing'] = new Style({stroke: stroke(palette.dig, 4), fill: new Fill({color: `${palette.dig}20`}), image: dot(palette.dig, 12)});
  looks['handle'] = new Style({image: dot(palette.dig, 9)});
  const plain = new Style({stroke: stroke(palette.soft, 1.5), image: dot(palette.ink, 4)});
  const words = new Style({
    text: new Text({font: '700 13px B612, sans-serif', offsetY: -14, overflow: false, fill: new Fill({color: palette.ink}), stroke: stroke(palette.paper, 3)}),
  });
  const labelled = (look: Style, label: string) => {
    const text = words.getText()!.clone();
    text.setText(label);
    const style = look.clone();
    style.setText(text);
    return style;
  };
  return feature => {
    const look = looks[String(feature.get('kind'))] ?? plain;
    const label = feature.get('label') as string | undefined;
    return label ? labelled(look, label) : look;
  };
}
