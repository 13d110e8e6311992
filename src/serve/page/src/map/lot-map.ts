import Collection from 'ol/Collection';
import {createEmpty, extend, isEmpty} from 'ol/extent';
import Feature from 'ol/Feature';
import {Circle, type Geometry, LineString, MultiPolygon, Point, Polygon} from 'ol/geom';
import {fromExtent as polygonFromExtent} from 'ol/geom/Polygon';
import type Interaction from 'ol/interaction/Interaction';
import {defaults as defaultInteractions, Draw, Modify, Snap} from 'ol/interaction';
import VectorLayer from 'ol/layer/Vector';
import Map from 'ol/Map';
import Projection from 'ol/proj/Projection';
import VectorSource from 'ol/source/Vector';
import View from 'ol/View';

import type {Answer, GeoArea, Pair, View as JobView} from '../api';
import {showCounter} from '../job/lengths';
import type {Tap} from '../parts/context';
import {readPalette, styleOf} from './look';

/** How near a tap must be to a corner to mean it, in pixels: about the half of a gloved fingertip. */
const reach = 22;

/** What is shown with the line when the plan fits itself. */
const nearTheLine = new Set(['house', 'access', 'locate', 'main', 'right-of-way']);

/**
 * The lot as lines on the screen, in the job's own grid: no tiles, no network, no projection but the identity.
 * It shows what the engine says and hands taps back; it works nothing out.
 */
export class LotMap {
  private readonly map: Map;
  private readonly features = new VectorSource();
  private readonly answers = new VectorSource();
  private readonly changing = new VectorSource();
  private readonly layers: VectorLayer[];
  private readonly corners = new Collection<Feature<Point>>();
  private readonly night = matchMedia('(prefers-color-scheme: dark)');
  private readonly repaint = () => this.paint();
  private temporary: Interaction[] = [];
  private drawing: Draw | undefined;
  private reshaped: (() => void) | undefined;
  private waiting: ((tap: Tap) => void) | undefined;
  private view: JobView | null = null;
  /** Somebody moved the plan by hand: it stays where it was put. */
  private moved = false;

  constructor(private readonly target: HTMLElement) {
    const site = new Projection({code: 'site', units: 'm', extent: [-1e8, -1e8, 1e8, 1e8]});
    this.layers = [this.features, this.answers, this.changing].map(source => new VectorLayer({source, updateWhileInteracting: true, declutter: 'words'}));
    this.map = new Map({
      target,
      controls: [],
      interactions: defaultInteractions({altShiftDragRotate: true, pinchRotate: true}),
      layers: this.layers,
      view: new View({projection: site, center: [1000, 1000], resolution: 0.3, minResolution: 0.005, maxResolution: 20, showFullExtent: true, constrainRotation: false}),
    });
    this.paint();
    this.night.addEventListener('change', this.repaint);
    this.map.on('pointerdrag', () => (this.moved = true));
    target.addEventListener('wheel', () => (this.moved = true), {passive: true});
    this.map.on('change:size', () => !this.moved && this.fit());
    this.map.on('singleclick', event => {
      const done = this.waiting;
      if (!done) return;
      this.waiting = undefined;
      done(this.tapAt(event.pixel, event.coordinate as Pair));
    });
  }

  private paint(): void {
    const style = styleOf(readPalette(this.target));
    for (const layer of this.layers) layer.setStyle(style);
  }

  dispose(): void {
    this.night.removeEventListener('change', this.repaint);
    this.map.setTarget(undefined);
    this.map.dispose();
  }

  show(view: JobView | null, answer: Answer | null): void {
    this.view = view;
    if (view) this.showView(view);
    this.answers.clear();
    if (answer) this.answers.addFeatures(answerFeatures(answer));
    if (!this.moved && this.temporary.length === 0) this.fit();
  }

  /** Shows the line with the house once there is one, and before that all there is. */
  fit(): void {
    const line = this.answers.getFeatures().length > 0;
    const wanted = [...this.answers.getFeatures(), ...this.features.getFeatures().filter(f => !line || nearTheLine.has(String(f.get('kind'))))];
    this.fitTo(wanted);
  }

  /** Shows all there is, and follows again what is added. */
  fitAll(): void {
    this.moved = false;
    this.fitTo(this.features.getFeatures());
  }

  private fitTo(features: Feature[]): void {
    const up = this.view?.front?.up ?? 0;
    this.map.getView().setRotation((-up * Math.PI) / 180);
    // Along the turned axes of the screen: the box of a turned box would be larger than what it holds.
    const turn = (up * Math.PI) / 180;
    const upright = features.map(f => {
      const copy = f.getGeometry()!.clone();
      copy.rotate(turn, [0, 0]);
      return copy.getExtent();
    });
    const extent = createEmpty();
    for (const e of upright) extend(extent, e);
    if (isEmpty(extent) && upright.length < 2) return;
    const box = polygonFromExtent(extent);
    box.rotate(-turn, [0, 0]);
    const small = this.target.clientHeight < 300;
    this.map.getView().fit(box, {padding: small ? [60, 70, 14, 14] : [76, 76, 96, 40], minResolution: 0.01});
  }

  zoom(by: number): void {
    this.moved = true;
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
      const points = geometry ? pointsOf(geometry) : [];
      // Too few points are no line and no area: one begins anew.
      if (points.length < (shape === 'area' ? 3 : 2)) return this.draw(shape, done);
      this.cancel();
      done(points);
    });
    this.drawing = draw;
    this.add(draw, new Snap({source: this.features, pixelTolerance: reach}));
  }

  reshape(shape: 'point' | 'line' | 'area', points: Pair[], done: (points: Pair[]) => void): void {
    this.cancel();
    const geometry = shape === 'point' ? new Point(points[0]!) : shape === 'line' ? new LineString(points) : new Polygon([[...points, points[0]!]]);
    this.changing.addFeature(new Feature({geometry, kind: 'changing'}));
    if (shape !== 'point') this.changing.addFeatures(points.map(p => new Feature({geometry: new Point(p), kind: 'handle'})));
    const modify = new Modify({source: this.changing, pixelTolerance: reach});
    this.add(modify, new Snap({source: this.features, pixelTolerance: reach}));
    this.reshaped = () => done(pointsOf(geometry));
  }

  /** Ends a drawing or reshaping where it stands. */
  finish(): void {
    const reshaped = this.reshaped;
    if (reshaped) {
      this.cancel();
      reshaped();
    }
    this.drawing?.finishDrawing();
  }

  cancel(): void {
    this.waiting = undefined;
    this.drawing = undefined;
    this.reshaped = undefined;
    this.changing.clear();
    for (const interaction of this.temporary) this.map.removeInteraction(interaction);
    this.temporary = [];
  }

  nearestSide(area: string, to: Pair): string | undefined {
    const corners = this.view?.features.find(f => f.id === area)?.corners ?? [];
    let nearest = Infinity;
    let found: string | undefined;
    for (const [i, corner] of corners.entries()) {
      const next = corners[(i + 1) % corners.length]!;
      const near = new LineString([corner.at, next.at]).getClosestPoint(to);
      const away = Math.hypot(near[0]! - to[0], near[1]! - to[1]);
      if (away >= nearest) continue;
      nearest = away;
      found = `${corner.name}-${next.name}`;
    }
    return found;
  }

  private add(...interactions: Interaction[]): void {
    for (const interaction of interactions) this.map.addInteraction(interaction);
    this.temporary = interactions;
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
      if (run.access) this.features.addFeature(new Feature({geometry: new Point(run.access), kind: 'access', label: run.id}));
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

function pointsOf(geometry: Geometry): Pair[] {
  const of = geometry instanceof Polygon ? geometry.getCoordinates()[0]!.slice(0, -1) : geometry instanceof LineString ? geometry.getCoordinates() : geometry instanceof Point ? [geometry.getCoordinates()] : [];
  return of.map(p => [p[0]!, p[1]!]);
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

