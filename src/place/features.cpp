// How each way to write a feature becomes vertices with errors.

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "measure/bearing.hpp"
#include "place/resolver.hpp"
#include "place/standard_errors.hpp"

namespace swingtie {
namespace {

/// How far the polyline drawn for an arc may leave it.
constexpr double arc_sagitta = 0.001;
/// A deed whose misclosure is within this share of its perimeter is taken as closed and balanced. Rural and old
/// urban work closed to 1 in 500 or better. Common practice, no source.
constexpr double deed_closes = 1.0 / 500;
/// Better than this nobody needs telling: the least closure accepted for town lots in many standards of practice is
/// 1 in 5,000 to 1 in 10,000 (from memory), and rounding to 0.01 ft spoils small lots.
constexpr double deed_closes_well = 1.0 / 2000;
constexpr double deed_rounding = 0.05 * metres_per_foot;
/// Walls taped to an inch round a whole house. Common practice, no source.
constexpr double walls_close = 1.0 / 100;
constexpr double walls_rounding = 0.5 * metres_per_foot;
/// Two bearings that print alike to the second can differ by rounding; beyond this an arc is not tangent.
const double tangent_enough = 0.01 * degree;

double wrapped(double angle) {
  return std::remainder(angle, 2 * pi);
}

PlanVector arc_chord(Azimuth bearing, double chord) {
  return chord * direction(bearing);
}

/// The vertices of a figure, each with the errors of the start and of the courses that lead to it.
/// `displacements[s][i]` is how source s moves the end of course i against its beginning. A balanced figure returns
/// to its start whatever the courses' errors, since each takes its share of the misclosure.
std::vector<UncertainPoint> run_courses(
    const UncertainPoint& start, const std::vector<TraverseCourse>& courses, bool balanced,
    const std::vector<std::pair<ErrorSource, std::vector<PlanVector>>>& displacements) {
  std::vector<UncertainPoint> vertices{start};
  const double whole = perimeter(courses);
  std::vector<PlanVector> sums(displacements.size()), totals(displacements.size());
  for (std::size_t s = 0; s < displacements.size(); ++s) {
    for (const PlanVector v : displacements[s].second) totals[s] = totals[s] + v;
  }
  double run = 0;
  UncertainPoint at = start;
  for (std::size_t i = 0; i < courses.size(); ++i) {
    at.at = at.at + courses[i].chord;
    run += course_length(courses[i]);
    UncertainPoint vertex{at.at, start.errors, start.covered};
    for (std::size_t s = 0; s < displacements.size(); ++s) {
      sums[s] = sums[s] + displacements[s].second[i];
      const PlanVector moves = balanced ? sums[s] - (run / whole) * totals[s] : sums[s];
      if (moves.de != 0 || moves.dn != 0) add_error(vertex, displacements[s].first, moves);
    }
    vertices.push_back(std::move(vertex));
  }
  return vertices;
}

std::string describe(const CourseMistake& mistake, const std::vector<TraverseCourse>& courses, std::string_view word,
                     LengthUnit unit) {
  const std::size_t number = mistake.course + 1;
  const std::string was = format_bearing(azimuth(courses[mistake.course].chord), BearingStyle::quadrant);
  const std::string now = format_bearing(mistake.bearing, BearingStyle::quadrant);
  switch (mistake.kind) {
    case CourseMistake::Kind::reversed:
      return fmt::format("{} {} the other way round, `{}` for `{}`", word, number, now, was);
    case CourseMistake::Kind::east_for_west:
      return fmt::format("{} {} with E and W interchanged, `{}` for `{}`", word, number, now, was);
    case CourseMistake::Kind::north_for_south:
      return fmt::format("{} {} with N and S interchanged, `{}` for `{}`", word, number, now, was);
    case CourseMistake::Kind::length:
      return fmt::format("{} {} with a length of {} for {}", word, number,
                         format_length(mistake.length, unit, LengthStyle::decimal, 2),
                         format_length(length(courses[mistake.course].chord), unit, LengthStyle::decimal, 2));
    case CourseMistake::Kind::bearing:
      break;
  }
  return fmt::format("{} {} with a bearing of `{}` for `{}`", word, number, now, was);
}

/// What would explain a figure that does not close, for the hint.
std::string explanation(const std::vector<TraverseCourse>& courses, std::string_view word, LengthUnit unit) {
  const PlanVector gap = misclosure(courses);
  const double tolerance = deed_rounding + perimeter(courses) * deed_closes;
  const std::vector<CourseMistake> mistakes = explain_misclosure(courses, tolerance);
  const std::string missing = fmt::format("a last {} of `{} {}`, if it was left out", word,
                                          format_bearing(azimuth(-gap), BearingStyle::quadrant),
                                          format_length(length(gap), unit, LengthStyle::decimal, 2));
  if (mistakes.empty()) return "it would close with " + missing;
  std::string text = "it would close with " + describe(mistakes[0], courses, word, unit);
  if (mistakes.size() > 1) text += ", or " + describe(mistakes[1], courses, word, unit);
  return text + "; or with " + missing;
}

std::string closure_ratio(const std::vector<TraverseCourse>& courses) {
  return fmt::format("1 in {:.0f}", perimeter(courses) / length(misclosure(courses)));
}

/// An area of one part from courses that run round it, its arcs as polylines, counter-clockwise.
AreaPart ring_of(PlanPoint start, const std::vector<TraverseCourse>& courses, bool closes) {
  AreaPart part;
  PlanPoint at = start;
  for (std::size_t i = 0; i < courses.size(); ++i) {
    part.outer.push_back(at);
    for (const PlanPoint p : arc_points(at, courses[i], arc_sagitta)) part.outer.push_back(p);
    at = at + courses[i].chord;
  }
  if (!closes) part.outer.push_back(at);
  if (signed_area(part.outer) < 0) std::reverse(part.outer.begin(), part.outer.end());
  return part;
}

}  // namespace

std::optional<ShapedFeature> Resolver::shape_of(std::size_t index) {
  const FeatureEntry& entry = job_.features[index];
  struct Visit {
    Resolver& r;
    std::size_t index;
    const FeatureEntry& entry;
    std::optional<ShapedFeature> operator()(const PointGeometry& g) {
      const auto at = r.position(g.at);
      if (!at) return std::nullopt;
      ShapedFeature shape;
      shape.corners.push_back({"", *at});
      return shape;
    }
    std::optional<ShapedFeature> operator()(const LineGeometry&) { return r.shape_listed(index); }
    std::optional<ShapedFeature> operator()(const AreaGeometry&) { return r.shape_listed(index); }
    std::optional<ShapedFeature> operator()(const Deed& g) { return r.shape_deed(entry, g); }
    std::optional<ShapedFeature> operator()(const Walls& g) { return r.shape_walls(entry, g); }
    std::optional<ShapedFeature> operator()(const OffsetLine& g) { return r.shape_offset(entry, g); }
    std::optional<ShapedFeature> operator()(const FileSource& g) { return r.shape_file(entry, g); }
  };
  auto shape = std::visit(Visit{*this, index, entry}, entry.geometry);
  if (!shape) return std::nullopt;
  const bool listed = listed_positions(index) != nullptr;
  if (shape->shape != GeometryKind::point && !name_corners(entry, *shape)) return std::nullopt;
  if (entry.within && !listed) {
    // The whole feature is off together: its own shape is known better than where it lies.
    const double sigma = std::sqrt(covariance_within(entry.within->value)(0, 0));
    const ErrorSource east = sources_.fresh(), north = sources_.fresh();
    const auto restate = [&](UncertainPoint& point) {
      UncertainPoint stated{point.at, {}, {}};
      add_error(stated, east, {sigma, 0});
      add_error(stated, north, {0, sigma});
      point = restated(point, std::move(stated));
    };
    for (NamedPoint& corner : shape->corners) restate(corner.point);
    for (auto& line : shape->lines) {
      for (UncertainPoint& p : line) restate(p);
    }
  }
  return shape;
}

bool Resolver::name_corners(const FeatureEntry& entry, ShapedFeature& shape) {
  const auto& names = entry.corners;
  if (names.size() > shape.corners.size()) {
    report_.error(
        names[shape.corners.size()].at,
        fmt::format("`{}` has {} corners and {} names for them", entry.id.value, shape.corners.size(), names.size()),
        fmt::format("{} names, in the order of the corners", shape.corners.size()));
    return false;
  }
  std::set<std::string> seen;
  for (const auto& name : names) {
    if (!seen.insert(name.value).second) {
      report_.error(name.at, fmt::format("two corners of `{}` are called `{}`", entry.id.value, name.value));
      return false;
    }
  }
  for (std::size_t i = 0; i < shape.corners.size(); ++i) shape.corners[i].name = corner_name(entry, i);
  return true;
}

void Resolver::warn_if_crossing(const FeatureEntry& entry, const ShapedFeature& shape) {
  for (const AreaPart& part : shape.areas) {
    if (crossing_edges(part.outer)) {
      report_.warn(entry.id.at, fmt::format("the outline of `{}` crosses itself", entry.id.value), {},
                   "check the order of its corners; its area is not to be trusted");
      return;
    }
  }
}

std::optional<ShapedFeature> Resolver::shape_listed(std::size_t index) {
  const FeatureEntry& entry = job_.features[index];
  const auto& positions = *listed_positions(index);
  const bool area = std::holds_alternative<AreaGeometry>(entry.geometry);
  if (positions.size() < (area ? 3u : 2u)) {
    report_.error(entry.at,
                  fmt::format("`{}` has {} {}", entry.id.value, positions.size(),
                              positions.size() == 1 ? "vertex" : "vertices"),
                  area ? "three or more" : "two or more");
    return std::nullopt;
  }
  ShapedFeature shape;
  bool complete = true;
  for (std::size_t i = 0; i < positions.size(); ++i) {
    if (const auto p = vertex(index, i, positions[i].at)) {
      shape.corners.push_back({"", *p});
    } else {
      complete = false;
    }
  }
  if (!complete) return std::nullopt;
  for (std::size_t i = 1; i < positions.size(); ++i) {
    if (distance(shape.corners[i].point.at, shape.corners[i - 1].point.at) < 1e-6) {
      report_.warn(positions[i].at,
                   fmt::format("two vertices of `{}` that follow each other are the same point", entry.id.value));
    }
  }
  if (area) {
    shape.shape = GeometryKind::area;
    AreaPart part;
    for (const NamedPoint& corner : shape.corners) part.outer.push_back(corner.point.at);
    if (signed_area(part.outer) < 0) std::reverse(part.outer.begin(), part.outer.end());
    shape.area = signed_area(part.outer);
    shape.areas.push_back(std::move(part));
    warn_if_crossing(entry, shape);
  } else {
    shape.shape = GeometryKind::line;
    shape.lines.emplace_back();
    for (const NamedPoint& corner : shape.corners) shape.lines[0].push_back(corner.point);
  }
  return shape;
}

std::optional<std::vector<TraverseCourse>> Resolver::courses_of(const Deed& deed) {
  std::vector<TraverseCourse> courses;
  std::optional<double> heading;  // at the end of the course before
  bool after_arc = false;
  bool good = true;
  for (std::size_t i = 0; i < deed.calls.size(); ++i) {
    const DeedCall& call = deed.calls[i];
    const std::size_t number = i + 1;
    const auto bad = [&](std::string message, std::string expected, std::string hint = {}) {
      report_.error(call.at, std::move(message), std::move(expected), std::move(hint));
      good = false;
    };
    if (!call.arc) {
      if (!call.bearing || !call.distance) {
        bad(fmt::format("call {} is not complete", number), "a bearing and a length, `N 12-30-15 E 104.50`");
        continue;
      }
      if (after_arc && heading && std::abs(wrapped(call.bearing->radians - *heading)) > tangent_enough) {
        report_.warn(call.at,
                     fmt::format("call {} leaves the arc before it at an angle of {:.3f}°", number,
                                 std::abs(wrapped(call.bearing->radians - *heading)) / degree),
                     {}, "no mistake if the deed calls it non-tangent");
      }
      courses.push_back({arc_chord(*call.bearing, *call.distance), std::nullopt});
      heading = call.bearing->radians;
      after_arc = false;
      continue;
    }
    const DeedCall::Arc& arc = *call.arc;
    if (!(arc.radius > 0)) {
      bad(fmt::format("call {} is an arc without a radius", number), "a radius of more than 0");
      continue;
    }
    if (call.distance && *call.distance > 2 * arc.radius * (1 + 1e-6)) {
      bad(fmt::format("call {} has a chord longer than the circle is wide", number),
          fmt::format("at most {}", length_text(2 * arc.radius, 2)));
      continue;
    }
    std::optional<double> delta = arc.delta;
    if (!delta && arc.arc_length) delta = *arc.arc_length / arc.radius;
    if (!delta && call.distance) delta = 2 * std::asin(std::min(*call.distance / (2 * arc.radius), 1.0));
    if (!delta || !(*delta > 0) || *delta >= 2 * pi) {
      bad(fmt::format("call {} does not say how far its arc goes", number),
          "a central angle, an arc length or a chord");
      continue;
    }
    const CurveElements elements = curve_elements(arc.radius, *delta);
    // Deeds print lengths to 0.01 and angles to the second; more than twice that is a mistake.
    const double allowed = 0.02 * metres_per_foot + 2e-5 * elements.arc;
    const bool arc_off = arc.arc_length && std::abs(elements.arc - *arc.arc_length) > allowed;
    const bool chord_off = call.distance && std::abs(elements.chord - *call.distance) > allowed;
    if (arc_off || chord_off) {
      std::string hint = "leave out the one that is mistyped";
      if (arc_off && !chord_off && call.distance) hint = "the arc length does not fit the others; leave it out";
      if (!arc_off && chord_off && arc.arc_length) hint = "the chord does not fit the others; leave it out";
      bad(fmt::format("the arc of call {} does not hang together", number),
          fmt::format("with this radius and angle: arc {}, chord {}", length_text(elements.arc, 2),
                      length_text(elements.chord, 2)),
          hint);
      continue;
    }
    const double hand = arc.to_left ? -1 : 1;
    if (!call.bearing && !heading) {
      bad(fmt::format("call {} is an arc with nothing before it to be tangent to", number),
          "the bearing of its chord");
      continue;
    }
    const double chord_azimuth = call.bearing ? call.bearing->radians : *heading + hand * *delta / 2;
    const double begins = chord_azimuth - hand * *delta / 2;
    if (heading && call.bearing && std::abs(wrapped(begins - *heading)) > tangent_enough) {
      report_.warn(call.at,
                   fmt::format("the arc of call {} is not tangent to the course before it, by {:.3f}°", number,
                               std::abs(wrapped(begins - *heading)) / degree),
                   {}, "no mistake if the deed calls it non-tangent; the chord's bearing is believed");
    }
    const double chord = call.distance ? *call.distance : elements.chord;
    const double radius = chord / (2 * std::sin(*delta / 2));
    courses.push_back({arc_chord({chord_azimuth}, chord), ArcShape{arc.to_left, radius, *delta}});
    heading = chord_azimuth + hand * *delta / 2;
    after_arc = true;
  }
  return good ? std::optional(courses) : std::nullopt;
}

std::optional<ShapedFeature> Resolver::shape_deed(const FeatureEntry& entry, const Deed& deed) {
  const auto start = position(deed.start);
  auto courses = courses_of(deed);
  if (!start || !courses) return std::nullopt;
  if (courses->size() < 2) {
    report_.error(deed.at, "a deed has at least two courses");
    return std::nullopt;
  }

  ShapedFeature shape;
  shape.shape = GeometryKind::area;
  const PlanVector gap = misclosure(*courses);
  const double allowed = deed_rounding + perimeter(*courses) * deed_closes;
  const bool small = length(gap) <= allowed;
  const std::string does_not_close = fmt::format("the deed of `{}` does not close, by {} ({}), toward {}",
                                                 entry.id.value, length_text(length(gap), 2), closure_ratio(*courses),
                                                 format_bearing(azimuth(gap), BearingStyle::quadrant));
  if (!small && deed.balance == Deed::Balance::if_small) {
    report_.error(
        deed.at, does_not_close,
        fmt::format("at most {} over {} of courses", length_text(allowed, 2), length_text(perimeter(*courses), 0)),
        explanation(*courses, "call", grid_.unit) + "; `balance: compass-rule` spreads it all the same");
    return std::nullopt;
  }
  if (!small) report_.warn(deed.at, does_not_close, {}, explanation(*courses, "call", grid_.unit));
  if (small && length(gap) > deed_rounding + perimeter(*courses) * deed_closes_well) {
    report_.warn(deed.at, does_not_close, {}, deed.balance == Deed::Balance::none ? "" : "spread over its courses");
  }
  const bool balanced = deed.balance != Deed::Balance::none;
  shape.closure = Feature::Closure{gap, perimeter(*courses), balanced};
  if (balanced) *courses = balanced_by_compass_rule(*courses);

  std::vector<std::pair<ErrorSource, std::vector<PlanVector>>> displacements;
  for (std::size_t i = 0; i < courses->size(); ++i) {
    const PlanVector v = (*courses)[i].chord;
    const double l = length(v);
    std::vector<PlanVector> by_length(courses->size()), by_bearing(courses->size());
    const double sigma = std::hypot(standard_errors::deed_length, standard_errors::deed_length_per_metre * l);
    by_length[i] = (sigma / l) * v;
    by_bearing[i] = standard_errors::deed_bearing * right_of(v);
    displacements.emplace_back(sources_.fresh(), std::move(by_length));
    displacements.emplace_back(sources_.fresh(), std::move(by_bearing));
  }
  const auto vertices = run_courses(*start, *courses, balanced, displacements);
  for (std::size_t i = 0; i < courses->size(); ++i) shape.corners.push_back({"", vertices[i]});
  if (balanced) {
    shape.area = enclosed_area(*courses);
  } else {
    auto closed = *courses;
    if (length(gap) > 0) closed.push_back({-gap, std::nullopt});
    shape.area = enclosed_area(closed);
  }
  shape.areas.push_back(ring_of(start->at, *courses, balanced || length(gap) < 1e-6));
  warn_if_crossing(entry, shape);
  return shape;
}

std::optional<ShapedFeature> Resolver::shape_walls(const FeatureEntry& entry, const Walls& walls) {
  const auto start = position(walls.start);
  if (!start) return std::nullopt;
  const auto run_legs = [&](std::optional<std::size_t> other_hand) {
    std::vector<TraverseCourse> courses;
    double heading = walls.heading.radians;
    for (std::size_t i = 0; i < walls.legs.size(); ++i) {
      heading += i == other_hand ? -walls.legs[i].turn : walls.legs[i].turn;
      courses.push_back({walls.legs[i].distance * direction({heading}), std::nullopt});
    }
    return courses;
  };
  std::vector<TraverseCourse> courses = run_legs(std::nullopt);
  if (courses.size() < (walls.closed ? 3u : 2u)) {
    report_.error(walls.at, fmt::format("the walls of `{}` enclose nothing", entry.id.value), "three legs or more");
    return std::nullopt;
  }
  ShapedFeature shape;
  shape.shape = GeometryKind::area;
  if (walls.closed) {
    const PlanVector gap = misclosure(courses);
    const double allowed = walls_rounding + perimeter(courses) * walls_close;
    if (length(gap) > allowed) {
      std::string hint;
      for (std::size_t i = 1; i < courses.size() && hint.empty(); ++i) {
        if (length(misclosure(run_legs(i))) <= allowed && walls.legs[i].turn != 0) {
          hint = fmt::format("they would close with leg {} turning the other way", i + 1);
        }
      }
      if (hint.empty()) hint = explanation(courses, "leg", grid_.unit);
      report_.error(walls.legs.back().at,
                    fmt::format("the walls of `{}` do not come back to their start, by {}", entry.id.value,
                                length_text(length(gap), 2)),
                    fmt::format("at most {}", length_text(allowed, 2)), hint);
      return std::nullopt;
    }
    if (length(gap) > walls_rounding) {
      report_.warn(
          walls.at,
          fmt::format("the walls of `{}` miss their start by {}", entry.id.value, length_text(length(gap), 2)), {},
          "spread over all of them");
    }
    shape.closure = Feature::Closure{gap, perimeter(courses), true};
    courses = balanced_by_compass_rule(courses);
  }

  std::vector<std::pair<ErrorSource, std::vector<PlanVector>>> displacements;
  const std::size_t n = courses.size();
  std::vector<PlanVector> swung;
  for (const TraverseCourse& course : courses)
    swung.push_back(standard_errors::house_heading * right_of(course.chord));
  displacements.emplace_back(sources_.fresh(), std::move(swung));
  for (std::size_t i = 0; i < n; ++i) {
    std::vector<PlanVector> by_tape(n), by_corner(n);
    const double l = length(courses[i].chord);
    by_tape[i] = (tape_sigma(l) / l) * courses[i].chord;
    for (std::size_t k = i; k < n; ++k) by_corner[k] = standard_errors::house_corner * right_of(courses[k].chord);
    displacements.emplace_back(sources_.fresh(), std::move(by_tape));
    if (i > 0) displacements.emplace_back(sources_.fresh(), std::move(by_corner));
  }
  const auto vertices = run_courses(*start, courses, walls.closed, displacements);
  const std::size_t corners = walls.closed ? n : n + 1;
  for (std::size_t i = 0; i < corners; ++i) shape.corners.push_back({"", vertices[i]});
  shape.areas.push_back(ring_of(start->at, courses, walls.closed));
  shape.area = signed_area(shape.areas[0].outer);
  warn_if_crossing(entry, shape);
  return shape;
}

std::optional<ShapedFeature> Resolver::shape_offset(const FeatureEntry& entry, const OffsetLine& offset) {
  const ShapedFeature* base = feature(offset.from, offset.from_at);
  if (base == nullptr) return std::nullopt;
  if (base->shape != GeometryKind::line) {
    report_.error(offset.from_at, fmt::format("`{}` is not a line", offset.from),
                  "a curb, a centerline, a line of any kind");
    return std::nullopt;
  }
  if (!offset.toward) {
    report_.error(
        offset.from_at,
        fmt::format("`{}` lies on one side of `{}`, and nothing says on which", entry.id.value, offset.from),
        "`toward: house`, or a compass word");
    return std::nullopt;
  }
  const ShapedFeature* side = nullptr;
  if (offset.toward->kind != SideWord::Kind::compass) {
    side = feature(offset.toward->feature, offset.toward->at);
    if (side == nullptr) return std::nullopt;
  }

  ShapedFeature shape;
  shape.shape = GeometryKind::line;
  const ErrorSource taped = sources_.fresh();
  const double by = std::abs(offset.by.value);
  for (const auto& line : base->lines) {
    Polyline plain;
    for (const UncertainPoint& p : line) plain.push_back(p.at);
    if (plain.size() < 2 || polyline_length(plain) < 0.01) continue;
    // Which hand: try both from the middle of each stretch and see which one the words favour over the whole length.
    double toward_right = 0, whole = 0;
    PlanVector mean_across;
    for (std::size_t k = 0; k + 1 < plain.size(); ++k) {
      const PlanVector v = plain[k + 1] - plain[k];
      const double l = length(v);
      if (l == 0) continue;
      const PlanVector across = right_of((1 / l) * v);
      const PlanPoint middle = plain[k] + 0.5 * v;
      const double reach = std::max(by, 0.1);
      const double favour = side == nullptr ? dot(across, direction(offset.toward->compass))
                                            : (distance_to_feature(*side, middle - reach * across) -
                                               distance_to_feature(*side, middle + reach * across)) /
                                                  (2 * reach);
      toward_right += l * favour;
      whole += l;
      mean_across = mean_across + l * across;
    }
    toward_right /= offset.toward->kind == SideWord::Kind::away_from ? -whole : whole;
    if (std::abs(toward_right) < 0.1) {
      report_.error(offset.toward->at, fmt::format("this does not say on which side of `{}`", offset.from),
                    fmt::format("`toward: {}` or `toward: {}`", compass_word(azimuth(mean_across)),
                                compass_word(azimuth(-mean_across))));
      return std::nullopt;
    }
    const double right = toward_right > 0 ? by : -by;
    std::vector<UncertainPoint> moved;
    for (const ParallelVertex& p : parallel(plain, right)) {
      UncertainPoint vertex{p.at, line[p.from].errors, line[p.from].covered};
      add_error(vertex, taped, tape_sigma(by) * p.per_metre);
      moved.push_back(std::move(vertex));
    }
    for (const UncertainPoint& p : moved) shape.corners.push_back({"", p});
    shape.lines.push_back(std::move(moved));
  }
  if (shape.lines.empty()) {
    report_.error(offset.from_at, fmt::format("`{}` has no length", offset.from));
    return std::nullopt;
  }
  return shape;
}

}  // namespace swingtie
