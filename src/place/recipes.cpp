// How each way to say a position becomes coordinates and errors.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "measure/bearing.hpp"
#include "place/resolver.hpp"
#include "place/standard_errors.hpp"

namespace swingtie {
namespace {

std::string name_text(const PointName& name) {
  return name.corner.empty() ? name.feature : name.feature + "." + name.corner;
}

/// A compass word tells two places apart while its direction is at least this far from square to the line between
/// them.
const double compass_word_tells = std::sin(10 * degree);
/// `toward F` tells two places apart when one is nearer to F by at least this share of their distance.
constexpr double toward_tells = 0.05;

}  // namespace

std::optional<UncertainPoint> Resolver::position(const Position& written) {
  struct Visit {
    Resolver& resolver;
    const Position& written;
    std::optional<UncertainPoint> operator()(const ByCoordinates& r) { return resolver.by_coordinates(r); }
    std::optional<UncertainPoint> operator()(const ByLonLat& r) { return resolver.by_lon_lat(r, written); }
    std::optional<UncertainPoint> operator()(const ByTies& r) { return resolver.by_ties(r, written.at); }
    std::optional<UncertainPoint> operator()(const ByOffset& r) { return resolver.by_offset(r); }
    std::optional<UncertainPoint> operator()(const ByLegs& r) { return resolver.by_legs(r); }
    std::optional<UncertainPoint> operator()(const OnFeature& r) { return resolver.on_feature(r); }
  };
  auto point = std::visit(Visit{*this, written}, written.recipe);
  if (!point) return std::nullopt;
  if (!std::isfinite(point->at.e) || !std::isfinite(point->at.n)) {
    report_.error(written.at, "this position has no finite coordinates");
    return std::nullopt;
  }
  if (written.within) {
    UncertainPoint stated = sources_.within(point->at, written.within->value);
    if (std::holds_alternative<ByCoordinates>(written.recipe)) return stated;
    if (std::holds_alternative<ByLonLat>(written.recipe)) {
      // The datum operation is no part of what was measured, so it comes on top of what is stated.
      add_error(stated, ErrorSources::datum_east, moved_by(*point, ErrorSources::datum_east));
      add_error(stated, ErrorSources::datum_north, moved_by(*point, ErrorSources::datum_north));
      return stated;
    }
    return restated(*point, std::move(stated));
  }
  return point;
}

std::optional<UncertainPoint> Resolver::by_coordinates(const ByCoordinates& recipe) {
  const PlanPoint at{recipe.e * grid_.coordinate_scale, recipe.n * grid_.coordinate_scale};
  return sources_.round(at, standard_errors::typed_coordinate);
}

std::optional<UncertainPoint> Resolver::by_lon_lat(const ByLonLat& recipe, const Position& written) {
  if (!grid_.georeference) {
    report_.error(written.at, "a latitude and longitude need to know how the site lies on the Earth", {},
                  "give the site a `crs:`, or an `anchor: {grid: [0, 0], lat: …, lon: …, grid_north: …}`");
    return std::nullopt;
  }
  const PlanPoint at = grid_.georeference->from_lon_lat({recipe.lon_deg, recipe.lat_deg});
  UncertainPoint point = sources_.within(at, standard_errors::phone_within);
  if (!written.within && assumed_fixes_++ == 0) first_assumed_fix_ = written.at;
  const double axis = grid_.georeference->accuracy() / std::sqrt(2.0);
  if (axis > 0) {
    add_error(point, ErrorSources::datum_east, {axis, 0});
    add_error(point, ErrorSources::datum_north, {0, axis});
  }
  return point;
}

std::optional<UncertainPoint> Resolver::by_ties(const ByTies& recipe, Span at) {
  std::vector<TapedTie> ties;
  bool complete = true;
  for (const Tie& tie : recipe.ties) {
    if (const auto from = point(tie.from)) {
      ties.push_back({*from, tie.distance.value, tape_sigma(tie.distance.value)});
    } else {
      complete = false;
    }
    if (!(tie.distance.value > 0)) {
      report_.error(tie.distance.at, "a tie has a length", "more than 0");
      complete = false;
    }
  }
  if (!complete) return std::nullopt;
  if (ties.size() < 2) {
    report_.error(at, "one tie gives a circle, not a point", "ties from two points, better three",
                  "tape a second distance from another corner");
    return std::nullopt;
  }
  for (std::size_t i = 0; i < ties.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      if (distance(ties[i].from.at, ties[j].from.at) > 0.01) continue;
      report_.error(recipe.ties[i].from.at,
                    fmt::format("`{}` and `{}` are the same place, so their ties do not cross",
                                name_text(recipe.ties[j].from), name_text(recipe.ties[i].from)));
      return std::nullopt;
    }
  }

  TieFix fix = fix_by_ties(ties, sources_);
  if (fix.solutions.empty()) {
    report_.error(at, "these ties do not settle on any point", {}, "tape them again");
    return std::nullopt;
  }
  if (fix.gap > 0) {
    const Tie &a = recipe.ties[0], &b = recipe.ties[1];
    const double apart = distance(ties[0].from.at, ties[1].from.at);
    const std::string story =
        fmt::format("the ties from `{}` ({}) and `{}` ({}) do not meet: {} {}", name_text(a.from),
                    length_text(a.distance.value, 2), name_text(b.from), length_text(b.distance.value, 2),
                    length_text(fix.gap, 2),
                    apart > a.distance.value + b.distance.value ? "is left between them"
                                                                : "lies between one circle and the other inside it");
    const std::string expected = fmt::format("the two points are {} apart", length_text(apart, 2));
    if (fix.gap > 3 * fix.gap_sigma) {
      report_.error(at, story, expected, "tape both again, and check from which corner each was taken");
      return std::nullopt;
    }
    report_.warn(at, story, expected, "the point nearest to both is taken; that much is within the error of a tape");
    return fix.solutions[0].point;
  }
  if (ties.size() > 2) {
    for (TieSolution& solution : fix.solutions) {
      if (fix.solutions.size() == 1) check_ties_agree(recipe, solution, at);
    }
  }
  return choose_side(recipe, ties, fix, at);
}

void Resolver::check_ties_agree(const ByTies& recipe, TieSolution& solution, Span at) {
  const int freedom = static_cast<int>(recipe.ties.size()) - 2;
  if (solution.chi_square <= chi_square_quantile(0.99, freedom)) return;
  std::string message = fmt::format("the {} ties do not agree", recipe.ties.size());
  std::string hint;
  if (freedom == 1) {
    // With a single check every tie looks equally guilty.
    for (std::size_t i = 0; i < recipe.ties.size(); ++i) {
      hint +=
          fmt::format("{}`{}` {} is {} too {}", i == 0 ? "" : ", ", name_text(recipe.ties[i].from),
                      length_text(recipe.ties[i].distance.value, 2), length_text(std::abs(solution.residuals[i]), 2),
                      solution.residuals[i] > 0 ? "long" : "short");
    }
    hint += "; tape them again, or add a fourth, which would show the wrong one";
  } else {
    const auto worst =
        static_cast<std::size_t>(std::max_element(solution.normalised.begin(), solution.normalised.end(),
                                                  [](double a, double b) { return std::abs(a) < std::abs(b); }) -
                                 solution.normalised.begin());
    message += fmt::format(": `{}` {} is {} too {} for the others", name_text(recipe.ties[worst].from),
                           length_text(recipe.ties[worst].distance.value, 2),
                           length_text(std::abs(solution.residuals[worst]), 2),
                           solution.residuals[worst] > 0 ? "long" : "short");
    hint = fmt::format("tape the one from `{}` again, or leave it out", name_text(recipe.ties[worst].from));
  }
  report_.warn(at, message, {}, hint);
  // What the ties say of themselves is not true here; the spread that they show is.
  const double excess = solution.chi_square / freedom - 1;
  const UncertainPoint more = sources_.with_covariance(solution.point.at, excess * covariance(solution.point));
  add_errors_of(solution.point, more, Eigen::Matrix2d::Identity());
}

std::optional<UncertainPoint> Resolver::choose_side(const ByTies& recipe, const std::vector<TapedTie>& ties,
                                                    const TieFix& fix, Span at) {
  PlanVector sum;
  for (const TapedTie& tie : ties) sum = sum + (tie.from.at - ties[0].from.at);
  const PlanPoint middle = ties[0].from.at + (1.0 / static_cast<double>(ties.size())) * sum;

  if (fix.solutions.size() == 1) {
    if (recipe.side && recipe.side->kind == SideWord::Kind::compass && ties.size() > 2) {
      const PlanVector away = fix.solutions[0].point.at - middle;
      const double that_way = dot(away, direction(recipe.side->compass));
      if (that_way < -0.3 * length(away) && length(away) > 1) {
        report_.warn(recipe.side->at,
                     fmt::format("the ties put this point {} of their middle", compass_word(azimuth(away))), "",
                     "the ties are believed; check the word, or from which corners they were taken");
      }
    }
    return fix.solutions[0].point;
  }

  const UncertainPoint &a = fix.solutions[0].point, &b = fix.solutions[1].point;
  const PlanVector apart = a.at - b.at;
  const auto words = [&] {
    return fmt::format("`side: {}` or `side: {}`", compass_word(azimuth(apart)), compass_word(azimuth(-apart)));
  };
  if (recipe.side && recipe.side->kind == SideWord::Kind::compass) {
    const double along = dot(apart, direction(recipe.side->compass)) / length(apart);
    if (std::abs(along) < compass_word_tells) {
      report_.error(recipe.side->at,
                    "this word runs along the line between the tied points and does not say on which side of it",
                    words());
      return std::nullopt;
    }
    return along > 0 ? a : b;
  }
  if (recipe.side) {
    const ShapedFeature* other = feature(recipe.side->feature, recipe.side->at);
    if (other == nullptr) return std::nullopt;
    const double nearer = distance_to_feature(*other, b.at) - distance_to_feature(*other, a.at);
    if (std::abs(nearer) < toward_tells * length(apart)) {
      report_.error(recipe.side->at,
                    fmt::format("both places that fit the ties are as far from `{}`", recipe.side->feature), words());
      return std::nullopt;
    }
    return (nearer > 0) == (recipe.side->kind == SideWord::Kind::toward) ? a : b;
  }

  // Nobody said which; a place inside the house from which the ties were taken is not meant.
  for (const Tie& tie : recipe.ties) {
    const auto index = find(tie.from.feature);
    if (!index || job_.features[*index].kind.value != FeatureKind::house || nodes_[*index].state == State::busy)
      continue;
    const ShapedFeature* house = feature(*index);
    if (house == nullptr || house->areas.empty()) continue;
    const bool a_inside = holds(house->areas[0].outer, a.at), b_inside = holds(house->areas[0].outer, b.at);
    if (a_inside == b_inside) continue;
    const PlanVector chosen = a_inside ? -apart : apart;
    report_.warn(at, fmt::format("these ties meet in two points; the one outside `{}` is taken", tie.from.feature),
                 {}, fmt::format("add `side: {}` to say so", compass_word(azimuth(chosen))));
    return a_inside ? b : a;
  }
  report_.error(at,
                fmt::format("these ties meet in two points, {} apart, and nothing says which is meant",
                            length_text(length(apart))),
                words(), "`toward` or `away from` a feature does as well: `side: toward curb`");
  return std::nullopt;
}

std::optional<Resolver::Edge> Resolver::edge(const EdgeName& name) {
  const auto from = point({name.feature, name.from, name.at});
  const auto to = point({name.feature, name.to, name.at});
  if (!from || !to) return std::nullopt;
  const std::size_t index = *find(name.feature);
  const std::vector<std::string> names = corner_names(index);
  const auto place = [&](const std::string& corner) {
    return static_cast<std::size_t>(std::find(names.begin(), names.end(), corner) - names.begin());
  };
  const std::size_t i = place(name.from), j = place(name.to), n = names.size();
  const bool forward = (i + 1) % n == j, backward = (j + 1) % n == i;
  if (!forward && !backward) {
    std::vector<std::string> edges;
    for (std::size_t k = 0; k < n; ++k) edges.push_back(names[k] + "-" + names[(k + 1) % n]);
    report_.error(name.at,
                  fmt::format("`{}` and `{}` are not neighbouring corners of `{}`", name.from, name.to, name.feature),
                  "an edge, one of: " + join_names(edges));
    return std::nullopt;
  }
  // Which side is inside follows from the way the corners run round.
  Ring ring;
  for (const std::string& corner : names) {
    const auto p = point({name.feature, corner, name.at});
    if (!p) return std::nullopt;
    ring.push_back(p->at);
  }
  const bool clockwise = signed_area(ring) < 0;
  return Edge{*from, *to, clockwise == forward};
}

std::optional<UncertainPoint> Resolver::by_offset(const ByOffset& recipe) {
  std::vector<UncertainPoint> line;
  bool interior_to_right = false;
  const auto from = point(recipe.from);
  if (const auto* edge_name = std::get_if<EdgeName>(&recipe.base)) {
    const auto base = edge(*edge_name);
    if (!base || !from) return std::nullopt;
    line = {base->from, base->to};
    interior_to_right = base->interior_to_right;
  } else {
    const std::string& id = std::get<std::string>(recipe.base);
    const ShapedFeature* base = feature(id, recipe.base_at);
    if (base == nullptr || !from) return std::nullopt;
    if (base->shape != GeometryKind::line) {
      std::vector<std::string> edges;
      for (std::size_t k = 0; base->shape == GeometryKind::area && k < base->corners.size(); ++k) {
        edges.push_back(id + "." + base->corners[k].name + "-" + base->corners[(k + 1) % base->corners.size()].name);
      }
      report_.error(recipe.base_at, fmt::format("`{}` is not a line", id),
                    edges.empty() ? "a curb, a fence, a line of any kind" : "`along:` one of: " + join_names(edges));
      return std::nullopt;
    }
    const auto nearest = std::min_element(base->lines.begin(), base->lines.end(), [&](const auto& a, const auto& b) {
      Polyline first, second;
      for (const UncertainPoint& p : a) first.push_back(p.at);
      for (const UncertainPoint& p : b) second.push_back(p.at);
      return distance_to(first, from->at) < distance_to(second, from->at);
    });
    line = *nearest;
  }
  Polyline plain;
  for (const UncertainPoint& p : line) plain.push_back(p.at);
  if (polyline_length(plain) < 0.01) {
    report_.error(recipe.base_at, "this line has no length, so it has no direction");
    return std::nullopt;
  }
  const OnPolyline start = project(plain, from->at);
  if (start.off > 0.3) {
    report_.warn(recipe.from.at,
                 fmt::format("`{}` lies {} off this line", name_text(recipe.from), length_text(start.off)), {},
                 "the distance is counted from the point of the line square to it");
  }
  const OnPolyline stop = walk(plain, start, recipe.go.value);
  const PlanPoint a = plain[stop.segment], b = plain[stop.segment + 1];
  const PlanVector along = (1 / distance(a, b)) * (b - a);
  const bool beyond = (stop.t < 0 || stop.t > 1) && std::holds_alternative<std::string>(recipe.base);
  if (beyond) {
    const double over = (stop.t < 0 ? -stop.t : stop.t - 1) * distance(a, b);
    if (over > 0.3) {
      report_.warn(
          recipe.go.at,
          fmt::format("this runs {} beyond the end of `{}`", length_text(over), std::get<std::string>(recipe.base)),
          {}, "the last stretch of the line is taken on straight; a minus walks the other way");
    }
  }

  double right = 0;
  switch (recipe.toward) {
    case ByOffset::Toward::none:
      break;
    case ByOffset::Toward::right:
      right = recipe.offset.value;
      break;
    case ByOffset::Toward::left:
      right = -recipe.offset.value;
      break;
    case ByOffset::Toward::in:
      right = interior_to_right ? recipe.offset.value : -recipe.offset.value;
      break;
    case ByOffset::Toward::out:
      right = interior_to_right ? -recipe.offset.value : recipe.offset.value;
      break;
  }
  const PlanVector across = right_of(along);

  // Along the line: the error of the starting point along it, the taped distance, and a square set off by eye,
  // which swings the offset. Across it: the line's own error at this place, and the offset's.
  const UncertainPoint foot = between(line[stop.segment], line[stop.segment + 1], stop.t);
  UncertainPoint result{foot.at + right * across, {}, {}};
  const PlanVector start_along = (1 / distance(plain[start.segment], plain[start.segment + 1])) *
                                 (plain[start.segment + 1] - plain[start.segment]);
  const Eigen::Vector2d u(along.de, along.dn), v(across.de, across.dn), u0(start_along.de, start_along.dn);
  add_errors_of(result, *from, u * u0.transpose());
  add_errors_of(result, foot, v * v.transpose());
  const double l = distance(a, b);
  const Eigen::Matrix2d swing = -right / l * u * v.transpose();
  add_errors_of(result, line[stop.segment + 1], swing);
  add_errors_of(result, line[stop.segment], -swing);
  add_error(result, sources_.fresh(), tape_sigma(recipe.go.value) * along);
  if (recipe.toward != ByOffset::Toward::none) {
    add_error(result, sources_.fresh(), tape_sigma(right) * across);
    add_error(result, sources_.fresh(), (right * standard_errors::right_angle_by_eye) * along);
  }
  return result;
}

std::optional<UncertainPoint> Resolver::by_legs(const ByLegs& recipe) {
  auto point_now = point(recipe.from);
  if (!point_now) return std::nullopt;
  for (const Leg& leg : recipe.legs) {
    const PlanVector ahead = direction(leg.bearing);
    point_now->at = point_now->at + leg.distance * ahead;
    add_error(*point_now, sources_.fresh(), tape_sigma(leg.distance) * ahead);
    add_error(*point_now, sources_.fresh(), (leg.distance * standard_errors::compass_bearing) * right_of(ahead));
  }
  return point_now;
}

std::optional<UncertainPoint> Resolver::on_feature(const OnFeature& recipe) {
  if (!recipe.feature.corner.empty()) return point(recipe.feature);
  if (!find(recipe.feature.feature)) return point(recipe.feature);
  const ShapedFeature* shape = feature(recipe.feature.feature, recipe.feature.at);
  if (shape == nullptr) return std::nullopt;
  switch (shape->shape) {
    case GeometryKind::point:
      return shape->corners[0].point;
    case GeometryKind::line: {
      const auto& line = shape->lines[0];
      Polyline plain;
      for (const UncertainPoint& p : line) plain.push_back(p.at);
      const OnPolyline middle = walk(plain, {0, 0, 0}, polyline_length(plain) / 2);
      return between(line[middle.segment], line[middle.segment + 1], middle.t);
    }
    case GeometryKind::area:
      break;
  }
  UncertainPoint centre{centroid(shape->areas[0].outer), {}, {}};
  const double share = 1.0 / static_cast<double>(shape->corners.size());
  for (const NamedPoint& corner : shape->corners)
    add_errors_of(centre, corner.point, share * Eigen::Matrix2d::Identity());
  return centre;
}

}  // namespace swingtie
