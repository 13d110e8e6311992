#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/questions.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

/// Share of a hole that must be touched to be worth a warning.
constexpr double least_share = 0.01;

/// What one feature means for one hole.
class Hole {
 public:
  Hole(const Placed& placed, const RuleSet& rules, const DigFinding& dig, const Footprint& taken)
      : placed_(placed), rules_(rules), dig_(dig) {
    std::copy_n(taken.outline.begin(), 4, outline_.begin());
    area_ = taken.length * taken.width;
    reach_ = std::hypot(taken.length, taken.width) / 2;
    centre_ = outline_[0] + 0.5 * (outline_[2] - outline_[0]);
  }

  bool near(const Feature& feature, double zone) const { return distance_to(feature, centre_) <= reach_ + zone; }

  template <class Condition>
  double share(Condition&& condition) const {
    return share_of(outline_, condition);
  }

  void tree(std::size_t f, const Feature& feature, std::vector<Conflict>& out) const {
    const double roots = rules_.root_zone(feature.trunk);
    const double zone = roots > 0 ? roots : rules_.tree_distance;
    if (near(feature, 0) && holds(std::span<const PlanPoint>(outline_), feature.point))
      out.push_back({f, "trunk", 0,
                     fmt::format("the trunk of {} stands inside the hole at grade: so wide a hole means felling it.",
                                 the_tree(feature))});
    if (zone <= 0 || !near(feature, zone)) return;
    const double share = this->share([&](PlanPoint p) { return distance(p, feature.point) <= zone; });
    if (share < least_share) return;
    const double lost = std::min(1.0, share * area_ / (pi * zone * zone));
    out.push_back({f, "root zone", share,
                   roots > 0
                       ? fmt::format("{} of the hole lies in the root zone of {} and takes {} of that zone: there "
                                     "dig by hand or vacuum from the surface down, cut no root thicker than a thumb "
                                     "without asking a tree expert.",
                                     percent(share), the_tree(feature), percent(lost))
                       : fmt::format("{} of the hole lies within {} of {}, whose trunk was not measured.",
                                     percent(share), decimal(zone, placed_.unit), the_tree(feature))});
  }

  void house(std::size_t f, const Feature& feature, std::vector<Conflict>& out) const {
    // The depth of the footing is not known: its base is taken at the ground, which errs to the safe side.
    const double zone = rules_.influence_slope * dig_.hole_depth;
    if (!near(feature, zone)) return;
    const auto outline = edges(feature);
    if (outline.empty()) return;
    const auto away = [&](PlanPoint p) { return holds(feature, p) ? 0 : nearest_on(outline, p).distance; };
    const double share = share_of(dig_.bottom, [&](PlanPoint p) { return away(p) < zone; });
    if (share >= least_share) {
      double least = 1e30;
      for (std::size_t i = 0; i < 4; ++i)
        for (const PlanSegment& wall : outline) {
          least = std::min(least, nearest_on(wall, dig_.bottom[i]).distance);
          least = std::min(least, nearest_on(PlanSegment{dig_.bottom[i], dig_.bottom[(i + 1) % 4]}, wall.a).distance);
        }
      out.push_back({f, "house influence line", share,
                     fmt::format("the bottom of the hole comes within {} of {}, under the line that carries its "
                                 "footing ({}): ask an engineer before digging.",
                                 decimal(least, placed_.unit), the_name(feature), rules_.influence_cite)});
    }
    const double under = this->share([&](PlanPoint p) { return holds(feature, p); });
    if (under >= least_share)
      out.push_back(
          {f, "structure", under, fmt::format("{} of the hole lies under {}.", percent(under), the_name(feature))});
  }

  void paved(std::size_t f, const Feature& feature, std::vector<Conflict>& out) const {
    const double half = feature.shape == GeometryKind::area ? 0 : feature.width.value_or(0.3) / 2;
    if (!near(feature, half)) return;
    const auto outline = edges(feature);
    if (outline.empty()) return;
    const double share =
        this->share([&](PlanPoint p) { return holds(feature, p) || nearest_on(outline, p).distance <= half; });
    if (share < least_share) return;
    const std::string kind = kind_name(feature.kind);
    out.push_back({f, kind, share, fmt::format("{} of the hole lies under {}.", percent(share), the_name(feature))});
  }

  /// A wall or a fence: even a corner of the hole brings it down.
  void barrier(std::size_t f, const Feature& feature, std::vector<Conflict>& out) const {
    if (!near(feature, feature.width.value_or(0) / 2)) return;
    const auto outline = edges(feature);
    const bool met = std::any_of(outline.begin(), outline.end(), [&](const PlanSegment& edge) {
      if (holds(std::span<const PlanPoint>(outline_), edge.a)) return true;
      for (std::size_t i = 0; i < outline_.size(); ++i)
        if (crossing_of(edge, {outline_[i], outline_[(i + 1) % outline_.size()]})) return true;
      return false;
    });
    if (!met) return;
    const double half = feature.width.value_or(0.3) / 2;
    out.push_back({f, kind_name(feature.kind),
                   share([&](PlanPoint p) { return holds(feature, p) || nearest_on(outline, p).distance <= half; }),
                   fmt::format("{} stands in the hole at grade.", the_name(feature))});
  }

  void utility(std::size_t f, const Feature& feature, std::vector<Conflict>& out) const {
    const double zone = rules_.tolerance_zone + feature.size.value_or(0) / 2;
    if (!near(feature, zone)) return;
    const auto outline = edges(feature);
    if (outline.empty()) return;
    const double share = this->share([&](PlanPoint p) { return nearest_on(outline, p).distance <= zone; });
    if (share < least_share) return;
    out.push_back(
        {f, "tolerance zone", share,
         fmt::format(
             "{} of the hole lies in the tolerance zone of {} ({} each side): expose it by hand or vacuum first.",
             percent(share), the_name(feature), decimal(rules_.tolerance_zone, placed_.unit))});
  }

  void object(std::size_t f, const Feature& feature, std::vector<Conflict>& out) const {
    if (!near(feature, 0)) return;
    const bool inside = holds(std::span<const PlanPoint>(outline_), feature.point);
    if (inside)
      out.push_back(
          {f, kind_name(feature.kind), 0, fmt::format("{} stands inside the hole at grade.", the_name(feature))});
  }

  void limit(const Limits& limits, const Limits::Limit& limit, std::vector<Conflict>& out) const {
    const Feature& feature = placed_.features[limit.feature];
    // A lot ends at its street too, where the right-of-way says more.
    const auto beyond_street = [&](PlanPoint p) {
      return std::any_of(limits.all().begin(), limits.all().end(), [&](const Limits::Limit& other) {
        return placed_.features[other.feature].kind == FeatureKind::right_of_way && limits.beyond(placed_, other, p);
      });
    };
    const double share = this->share([&](PlanPoint p) {
      return limits.beyond(placed_, limit, p) && (feature.kind != FeatureKind::lot || !beyond_street(p));
    });
    if (share < least_share) return;
    const std::string name = the_name(feature);
    switch (feature.kind) {
      case FeatureKind::right_of_way:
        out.push_back({limit.feature, "street permit", share,
                       fmt::format("{} of the hole lies beyond {}: a street permit is needed before digging there.",
                                   percent(share), name)});
        break;
      case FeatureKind::curb:
        out.push_back({limit.feature, "street", share,
                       fmt::format("{} of the hole lies in the street, beyond {}.", percent(share), name)});
        break;
      default:
        out.push_back({limit.feature, "lot line", share,
                       fmt::format("{} of the hole lies beyond {}, on a neighbour's ground: its owner must consent.",
                                   percent(share), name)});
    }
  }

 private:
  const Placed& placed_;
  const RuleSet& rules_;
  const DigFinding& dig_;
  std::array<PlanPoint, 4> outline_{};
  PlanPoint centre_;
  double area_ = 0, reach_ = 0;
};

std::vector<Conflict> met_by(const Hole& hole, const Placed& placed, const Limits& limits) {
  std::vector<Conflict> out;
  for (std::size_t f = 0; f < placed.features.size(); ++f) {
    const Feature& feature = placed.features[f];
    switch (feature.kind) {
      case FeatureKind::tree:
        hole.tree(f, feature, out);
        break;
      case FeatureKind::house:
        hole.house(f, feature, out);
        break;
      case FeatureKind::driveway:
      case FeatureKind::walk:
        hole.paved(f, feature, out);
        break;
      case FeatureKind::fence:
      case FeatureKind::wall:
        hole.barrier(f, feature, out);
        break;
      case FeatureKind::water:
      case FeatureKind::gas:
      case FeatureKind::electric:
      case FeatureKind::comms:
        hole.utility(f, feature, out);
        break;
      case FeatureKind::hydrant:
      case FeatureKind::pole:
      case FeatureKind::meter:
      case FeatureKind::valve:
      case FeatureKind::manhole:
      case FeatureKind::rock:
        hole.object(f, feature, out);
        break;
      default:
        break;
    }
  }
  for (const Limits::Limit& limit : limits.all()) hole.limit(limits, limit, out);
  return out;
}

/// What stands in the hole as it would be sloped and cannot be dug away.
std::string unfit(const Placed& placed, const DigFinding& dig) {
  std::vector<std::string> kept;
  for (const Conflict& conflict : dig.conflicts) {
    const Feature& feature = placed.features[conflict.feature];
    if (conflict.what == "structure") kept.push_back("a part of " + the_name(feature));
    if (conflict.what == "trunk") kept.push_back(the_tree(feature));
  }
  return kept.empty()
             ? ""
             : fmt::format("The sloped hole does not fit here: it would take in {}. Shore it, or ask an engineer.",
                           list_of(kept));
}

}  // namespace

void find_conflicts(const Sampling& sampling, const Limits& limits, const RuleSet& rules,
                    std::vector<DigFinding>& digs) {
  const Placed& placed = sampling.placed();
  for (DigFinding& dig : digs) {
    const Footprint& box = dig.footprints.back();
    const auto applies =
        std::find_if(dig.footprints.begin(), dig.footprints.end(), [](const Footprint& f) { return f.applies; });
    dig.box_conflicts = met_by(Hole(placed, rules, dig, box), placed, limits);
    const bool sloped = applies != dig.footprints.end() && &*applies != &box;
    dig.conflicts = sloped ? met_by(Hole(placed, rules, dig, *applies), placed, limits) : dig.box_conflicts;
    if (sloped) dig.unfit = unfit(placed, dig);
  }
}

}  // namespace swingtie
