#include "place/resolver.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "measure/bearing.hpp"
#include "place/standard_errors.hpp"

namespace swingtie {

std::string corner_name(const FeatureEntry& entry, std::size_t index) {
  return index < entry.corners.size() ? entry.corners[index].value : std::to_string(index + 1);
}

std::string join_names(const std::vector<std::string>& names) {
  constexpr std::size_t most = 12;
  std::string text;
  for (std::size_t i = 0; i < std::min(names.size(), most); ++i) text += (i == 0 ? "" : ", ") + names[i];
  if (names.size() > most) text += fmt::format(" and {} more", names.size() - most);
  return text;
}

std::string_view compass_word(Azimuth azimuth) {
  constexpr std::string_view words[] = {"north", "ne", "east", "se", "south", "sw", "west", "nw"};
  const auto octant = static_cast<long>(std::lround(azimuth.radians / (pi / 4)));
  return words[((octant % 8) + 8) % 8];
}

Resolver::Resolver(const Job& job, SiteGrid grid, FileFence files, Report& report)
    : job_(job), grid_(std::move(grid)), files_(std::move(files)), report_(report) {
  nodes_.resize(job.features.size());
  accesses_.resize(job.runs.size());
  for (std::size_t i = 0; i < job.features.size(); ++i) {
    const FeatureEntry& entry = job.features[i];
    const auto [there, fresh] = by_id_.try_emplace(entry.id.value, i);
    if (!fresh) {
      report.error(entry.id.at, fmt::format("two features are called `{}`", entry.id.value), "another id",
                   fmt::format("the first one is on line {}", job.features[there->second].id.at.line));
    }
  }
  for (std::size_t i = 0; i < job.runs.size(); ++i) {
    const std::string& id = job.runs[i].from.id;
    if (id.empty()) continue;
    if (by_id_.contains(id) || !access_by_id_.try_emplace(id, i).second) {
      report.error(job.runs[i].at,
                   fmt::format("run `{}` gives its access the id `{}`, which is taken", job.runs[i].id.value, id));
    }
  }
  for (std::size_t i = 0; i < job.features.size(); ++i) {
    if (const auto* listed = listed_positions(i)) nodes_[i].vertices.resize(listed->size());
  }
}

std::optional<std::size_t> Resolver::find(std::string_view id) const {
  const auto it = by_id_.find(id);
  return it == by_id_.end() ? std::nullopt : std::optional(it->second);
}

void Resolver::report_unknown(std::string_view id, Span at, std::string_view what) {
  std::vector<std::string> names;
  for (const auto& [name, index] : by_id_) names.push_back(name);
  for (const auto& [name, index] : access_by_id_) names.push_back(name);
  const auto near = nearest_name(id, names);
  report_.error(at, fmt::format("no {} is called `{}`", what, id),
                names.empty() ? "a feature under `features:`" : "one of: " + join_names(names),
                near ? fmt::format("did you mean `{}`?", *near) : "");
}

const std::vector<Position>* Resolver::listed_positions(std::size_t feature) const {
  const auto& geometry = job_.features[feature].geometry;
  if (const auto* line = std::get_if<LineGeometry>(&geometry)) return &line->vertices;
  if (const auto* area = std::get_if<AreaGeometry>(&geometry)) return &area->vertices;
  return nullptr;
}

std::vector<std::string> Resolver::corner_names(std::size_t feature) {
  std::vector<std::string> names;
  if (const auto* listed = listed_positions(feature)) {
    for (std::size_t i = 0; i < listed->size(); ++i) names.push_back(corner_name(job_.features[feature], i));
  } else if (nodes_[feature].state == State::done) {
    for (const NamedPoint& corner : nodes_[feature].shape.corners) names.push_back(corner.name);
  }
  return names;
}

void Resolver::report_cycle(std::string_view back_to, Span at) {
  const auto begin = std::find(busy_.begin(), busy_.end(), back_to);
  std::string chain;
  for (auto it = begin; it != busy_.end(); ++it) chain += fmt::format("`{}` → ", *it);
  // The same circle is met again from each of its points.
  std::vector<std::string> members(begin, busy_.end());
  std::sort(members.begin(), members.end());
  if (!reported_circles_.insert(members).second) return;
  report_.error(at, fmt::format("positions go round in a circle: {}`{}`", chain, back_to), "something already fixed",
                "give one of them by coordinates, or from a point outside the circle");
}

const ShapedFeature* Resolver::feature(std::string_view id, Span at) {
  const auto index = find(id);
  if (!index) {
    report_unknown(id, at, "feature");
    return nullptr;
  }
  if (nodes_[*index].state == State::busy) {
    report_cycle(id, at);
    return nullptr;
  }
  return feature(*index);
}

const ShapedFeature* Resolver::feature(std::size_t index) {
  FeatureNode& node = nodes_[index];
  if (node.state == State::fresh) {
    node.state = State::busy;
    busy_.push_back(job_.features[index].id.value);
    auto shape = shape_of(index);
    busy_.pop_back();
    node.state = shape ? State::done : State::failed;
    if (shape) node.shape = std::move(*shape);
  }
  return node.state == State::done ? &node.shape : nullptr;
}

std::optional<UncertainPoint> Resolver::vertex(std::size_t feature, std::size_t index, Span asked_at) {
  Node& node = nodes_[feature].vertices[index];
  const FeatureEntry& entry = job_.features[feature];
  const std::string name = entry.id.value + "." + corner_name(entry, index);
  if (node.state == State::busy) {
    report_cycle(name, asked_at);
    return std::nullopt;
  }
  if (node.state == State::fresh) {
    node.state = State::busy;
    busy_.push_back(name);
    const Position& written = (*listed_positions(feature))[index];
    node.point = position(written);
    busy_.pop_back();
    node.state = node.point ? State::done : State::failed;
    if (node.point && entry.within && !written.within) {
      auto& shift = nodes_[feature].shift;
      if (!shift) shift = {sources_.fresh(), sources_.fresh()};
      const double sigma = std::sqrt(covariance_within(entry.within->value)(0, 0));
      UncertainPoint stated{node.point->at, {}, {}};
      add_error(stated, shift->first, {sigma, 0});
      add_error(stated, shift->second, {0, sigma});
      node.point = restated(*node.point, std::move(stated));
    }
  }
  return node.point;
}

std::optional<UncertainPoint> Resolver::locate_position(const LocateEntry& entry) {
  auto at = position(entry.position);
  if (at && entry.within) at = restated(*at, sources_.within(at->at, entry.within->value));
  return at;
}

std::optional<UncertainPoint> Resolver::access(std::size_t run) {
  Node& node = accesses_[run];
  const RunEntry& entry = job_.runs[run];
  const std::string& name = entry.from.id.empty() ? entry.id.value : entry.from.id;
  if (node.state == State::busy) {
    report_cycle(name, entry.from.at.at);
    return std::nullopt;
  }
  if (node.state == State::fresh) {
    node.state = State::busy;
    busy_.push_back(name);
    node.point = position(entry.from.at);
    busy_.pop_back();
    node.state = node.point ? State::done : State::failed;
  }
  return node.point;
}

std::optional<UncertainPoint> Resolver::point(const PointName& name) {
  const auto index = find(name.feature);
  if (!index) {
    const auto run = access_by_id_.find(name.feature);
    if (run == access_by_id_.end()) {
      report_unknown(name.feature, name.at, "feature");
      return std::nullopt;
    }
    if (accesses_[run->second].state == State::busy) {
      report_cycle(name.feature, name.at);
      return std::nullopt;
    }
    return access(run->second);
  }
  // A corner of a feature written as a list stands alone; anything else needs the whole feature.
  const auto* listed = listed_positions(*index);
  if (listed == nullptr && feature(name.feature, name.at) == nullptr) return std::nullopt;
  const std::vector<std::string> names = corner_names(*index);
  if (name.corner.empty()) {
    if (listed == nullptr && nodes_[*index].shape.shape == GeometryKind::point)
      return nodes_[*index].shape.corners[0].point;
    report_.error(name.at, fmt::format("`{}` is not a point", name.feature), "one of its corners",
                  fmt::format("write `{}.{}`, or another of: {}", name.feature, names.empty() ? "1" : names[0],
                              join_names(names)));
    return std::nullopt;
  }
  const auto found = std::find(names.begin(), names.end(), name.corner);
  if (found == names.end()) {
    if (names.size() == 1 && names[0].empty()) {
      report_.error(name.at, fmt::format("`{}` is a point and has no corners", name.feature),
                    fmt::format("just `{}`", name.feature));
      return std::nullopt;
    }
    const auto near = nearest_name(name.corner, names);
    report_.error(name.corner_at.line > 0 ? name.corner_at : name.at,
                  fmt::format("no point `{}` on feature `{}`", name.corner, name.feature),
                  "one of: " + join_names(names),
                  near ? fmt::format("did you mean `{}.{}`?", name.feature, *near) : "");
    return std::nullopt;
  }
  const auto corner = static_cast<std::size_t>(found - names.begin());
  if (listed != nullptr) return vertex(*index, corner, name.at);
  return nodes_[*index].shape.corners[corner].point;
}

double Resolver::distance_to_feature(const ShapedFeature& shape, PlanPoint point) const {
  double nearest = std::numeric_limits<double>::infinity();
  if (shape.shape == GeometryKind::point) return distance(shape.corners[0].point.at, point);
  for (const auto& line : shape.lines) {
    Polyline plain;
    for (const UncertainPoint& p : line) plain.push_back(p.at);
    nearest = std::min(nearest, distance_to(plain, point));
  }
  for (const AreaPart& part : shape.areas) {
    nearest = std::min(nearest, holds(part.outer, point) ? 0.0 : distance_to_ring(part.outer, point));
  }
  return nearest;
}

std::string Resolver::length_text(double metres, int decimals) const {
  return format_length(metres, grid_.unit, LengthStyle::decimal, decimals);
}

void Resolver::report_assumed_fixes() {
  if (assumed_fixes_ == 0) return;
  report_.warn(
      first_assumed_fix_,
      assumed_fixes_ == 1
          ? std::string("a position by latitude and longitude does not say how good it is")
          : fmt::format("{} positions by latitude and longitude do not say how good they are", assumed_fixes_),
      {},
      fmt::format("taken as a phone's fix under open sky, within {} at 95 %; add `within:` if you know better",
                  length_text(standard_errors::phone_within, 0)));
}

}  // namespace swingtie
