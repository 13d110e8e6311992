import Collection from 'ol/Collection';
import {buffer, isEmpty} from 'ol/extent';
import Feature from 'ol/Feature';
import {Circle, type Geometry, LineString, MultiPolygon, Point, Polygon} from 'ol/geom';
import {defaults as defaultInteractions, Draw, Snap} from 'ol/interaction';
import VectorLayer from 'ol/layer/Vector';
import Map from 'ol/Map';
import Projection from 'ol/proj/Projection';
import VectorSource from 'ol/source/Vector';
import View from 'ol/View';

import type {Answer, GeoArea, Pair, View as JobView} from '../api';
import {showCounter} from '../job/lengths';
import type {Tap} from '../parts/context';
import {readPalette, styleOf} from './look';

/** Kinds whose corners a tap is drawn to, and how near it must be, in pixels. */
const reach = 18;

/**
 * The lot as lines on the screen, in the job's own grid: no tiles, no network, no projection but the identity.
 * It shows what the engine says and hands taps back; it works nothing out.
 */
export class LotMap {
  private readonly map: Map;
  private readonly features = new VectorSource();
  private readonly answers = new VectorSource();
  private readonly corners = new Collection<Feature<Point>>();
  private drawing: Draw | undefined;
  private waiting: ((tap: Tap) => void) | undefined;
  private fitted = false;

  constructor(target: HTMLElement) {
    const site = new Projection({code: 'site', units: 'm', extent: [-1e8, -1e8, 1e8, 1e8]});
    const palette = readPalette(target);
    const style = styleOf(palette);
    this.map = new Map({
      target,
      controls: [],
      interactions: defaultInteractions({altShiftDragRotate: true, pinchRotate: true}),
      layers: [
        new VectorLayer({source: this.features, style, updateWhileInteracting: true, declutter: 'words'}),
        new VectorLayer({source: this.answers, style, updateWhileInteracting: true, declutter: 'words'}),
      ],
      view: new View({projection: site, center: [0, 0], resolution: 0.3, minResolution: 0.005, maxResolution: 20, showFullExtent: true}),
    });
    this.map.on('singleclick', event => {
      const done = this.waiting;
      if (!done) return;
      this.waiting = undefined;
      done(this.tapAt(event.pixel, event.coordinate as Pair));
    });
  }

  dispose(): void {
    this.map.setTarget(undefined);
    this.map.dispose();
  }

  show(view: JobView | null, answer: Answer | null): void {
    if (view) this.showView(view);
    this.answers.clear();
    if (answer) this.answers.addFeatures(answerFeatures(answer));
    if (!this.fitted && view && view.features.length > 0) this.fit();
  }

  fit(): void {
    const extent = this.features.getExtent();
    if (!extent || isEmpty(extent)) return;
    this.map.getView().fit(buffer(extent, 3), {padding: [16, 16, 16, 16], maxZoom: 28});
    this.fitted = true;
  }

  zoom(by: number): void {
    this.map.getView().animate({resolution: (this.map.getView().getResolution() ?? 1) / by, duration: 150});
  }

  awaitTap(done: (tap: Tap) => void): void {
    this.cancel();
    this.waiting = done;
  }

  draw(shape: 'line' | 'area', done: (points: Pair[]) => void): void {
    this.cancel();
    const draw = new Draw({type: shape === 'area' ? 'Polygon' : 'LineString', stopClick: true});
    draw.on('drawend', event => {
      const geometry = event.feature.getGeometry();
      const points = geometry instanceof Polygon ? geometry.getCoordinates()[0]!.slice(0, -1) : geometry instanceof LineString ? geometry.getCoordinates() : [];
      this.cancel();
      done(points.map(p => [p[0]!, p[1]!] as Pair));
    });
    this.drawing = draw;
    this.map.addInteraction(draw);
    this.map.addInteraction(new Snap({source: this.features, pixelTolerance: reach}));
  }

  /** Ends a drawing where it stands: the last point was the last. */
  finish(): void {
    this.drawing?.finishDrawing();
  }

  cancel(): void {
    this.waiting = undefined;
    if (this.drawing) this.map.removeInteraction(this.drawing);
    this.drawing = undefined;
    for (const interaction of this.map.getInteractions().getArray().slice()) {
      if (interaction instanceof Snap) this.map.removeInteraction(interaction);
    }
  }

  private showView(view: JobView): void {
    this.features.clear();
    this.corners.clear();
    for (const f of view.features) {
      for (const geometry of geometries(f.shape, f.parts)) {
        this.features.addFeature(new Feature({geometry, kind: f.kind, label: f.label}));
      }
      if (f.shape === 'point' && f.trunk) {
        this.features.addFeature(new Feature({geometry: new Circle(f.parts[0] as Pair, (f.spread ?? f.trunk * 12) / 2), kind: 'crown'}));
      }
      const named = f.shape === 'point' ? [{name: '', at: f.parts[0] as Pair}] : f.corners;
      for (const corner of named) {
        this.corners.push(new Feature({geometry: new Point(corner.at), name: corner.name ? `${f.id}.${corner.name}` : f.id}));
      }
    }
    for (const run of view.runs) {
      this.features.addFeature(new Feature({geometry: new Point(run.access), kind: 'access', label: run.id}));
      for (const locate of run.locates) {
        this.features.addFeature(new Feature({geometry: new Circle(locate.position, locate.within), kind: 'locate-area'}));
        this.features.addFeature(new Feature({geometry: new Point(locate.position), kind: 'locate', label: showCounter(locate.at)}));
      }
    }
  }

  private tapAt(pixel: number[], at: Pair): Tap {
    let best: Tap = {at: [at[0], at[1]]};
    let nearest = reach;
    for (const corner of this.corners.getArray()) {
      const place = corner.getGeometry()!.getCoordinates();
      const there = this.map.getPixelFromCoordinate(place);
      const away = Math.hypot(there[0]! - pixel[0]!, there[1]! - pixel[1]!);
      if (away < nearest) {
        nearest = away;
        best = {at: [place[0]!, place[1]!], corner: String(corner.get('name'))};
      }
    }
    return best;
  }
}

function geometries(shape: string, parts: unknown[]): Geometry[] {
  if (shape === 'point') return [new Point(parts[0] as Pair)];
  if (shape === 'line') return (parts as Pair[][]).map(p => new LineString(p));
  return (parts as Pair[][][]).map(rings => new Polygon(rings.map(ring => [...ring, ring[0]!])));
}

function area(shape: GeoArea): Geometry {
  return shape.type === 'Polygon' ? new Polygon(shape.coordinates as Pair[][]) : new MultiPolygon(shape.coordinates as Pair[][][]);
}

function answerFeatures(answer: Answer): Feature[] {
  const out: Feature[] = [];
  for (const line of answer.lines) out.push(new Feature({geometry: area(line.corridor95), kind: 'corridor'}));
  for (const [index, way] of answer.alternatives.entries()) {
    if (way.probability < 0.05) continue;
    const first = answer.alternatives.findIndex(a => a.line === way.line) === index;
    const label = first && way.probability > 0.95 ? '' : `${Math.round(way.probability * 100)} %`;
    out.push(new Feature({geometry: new LineString(way.route), kind: first ? 'route' : 'other-route', label}));
  }
  for (const dig of answer.dig) out.push(new Feature({geometry: area(dig.window), kind: 'window'}));
  for (const item of answer.items) {
    if (item.what || item.act !== 'none') out.push(new Feature({geometry: new Point([item.e, item.n]), kind: `item-${item.act}`, label: item.what ? showCounter(item.at) : ''}));
  }
  for (const crossing of answer.crossings) out.push(new Feature({geometry: new Point([crossing.e, crossing.n]), kind: 'crossing'}));
  return out;
}

