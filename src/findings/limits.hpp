#pragma once

#include <optional>
#include <vector>

#include "findings/geometry.hpp"
#include "findings/sampling.hpp"

namespace swingtie {

/// One meeting of a line and a feature in one draw.
struct Meeting {
  double station = 0;  ///< metres
  SitePoint at;
};

/// Where the lines of every draw meet the limits of the lot, and on whose side that leaves each station.
class Limits {
 public:
  explicit Limits(const Sampling& sampling);

  /// A feature that the lines are held against: right-of-way lines, lots, curbs.
  struct Limit {
    std::size_t feature = 0;
    bool rules = false;         ///< private ownership ends here
    bool straightened = false;  ///< drawn too short, and continued straight to meet a line
    std::vector<PlanSegment> outline;
    /// meetings[line][draw], by station
    std::vector<std::vector<std::vector<Meeting>>> meetings;
  };
  const std::vector<Limit>& all() const { return all_; }

  /// True when the job says where private ownership ends, in a way that can be found on the site.
  bool known() const { return known_; }
  /// In this draw, whether the line at this station is privately owned. Meaningful only when known().
  bool is_private(std::size_t line, std::size_t draw, double station) const;
  /// The stations of a line in a draw at which the owner changes, in order; the line starts private unless
  /// starts_public says otherwise.
  const std::vector<double>& changes(std::size_t line, std::size_t draw) const { return changes_[line][draw]; }
  bool starts_private(std::size_t line) const { return starts_private_[line]; }

  /// Whether a point lies on the far side of a limit from the house (or, without one, from the lot): past the line,
  /// or outside the area that holds the house. Of an area that does not hold the house: inside it. Without house or
  /// lot nothing lies beyond anything.
  bool beyond(const Placed& placed, const Limit& limit, PlanPoint p) const;
  /// The limit that private ownership ends at, if it is a feature.
  const Limit* ruling() const;

 private:
  void find_changes(const Sampling& sampling);

  std::vector<Limit> all_;
  std::optional<PlanPoint> home_;  ///< the middle of the house or else of the lot: certainly private ground
  bool known_ = false;
  std::vector<std::vector<std::vector<double>>> changes_;
  std::vector<bool> starts_private_;
};

}  // namespace swingtie
