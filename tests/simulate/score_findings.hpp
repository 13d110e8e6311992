#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "findings/findings.hpp"
#include "simulate/lateral.hpp"

namespace swingtie::simulate {

/// A dig window against where the thing to dig for really is.
struct WindowScore {
  double wanted = 0;   ///< probability that the window was asked to contain it with
  double claimed = 0;  ///< probability that it says it contains it with
  bool contains = false;
  double area = 0;            ///< square metres
  bool depth_inside = false;  ///< the true depth of the axis lies in the item's interval
};

/// A finder with a tape against the radius that the ties promise.
struct FinderScore {
  double radius95 = 0;
  double off = 0;  ///< metres from the target
};

/// An item's side as told and as it is.
struct SideScore {
  double told = 0;
  bool is_private = false;
};

struct CrossingScore {
  bool station_inside = false;   ///< the true crossing lies in the interval
  bool position_inside = false;  ///< and in the ellipse
};

/// What one further locate was said to do, and what it did.
struct NextScore {
  std::string question;
  double now95 = 0, promised95 = 0, then95 = 0;  ///< as NextLocate; then95 after the locate was taken
  bool by_probability = false;                   ///< as NextLocate: these are probabilities, not lengths
};

struct FindingsScore {
  std::uint64_t seed = 0;
  std::vector<WindowScore> windows;
  std::vector<FinderScore> finders;
  std::vector<SideScore> sides;
  std::vector<CrossingScore> crossings;
  std::vector<NextScore> next;
  double find_ms = 0;
};

/// Solves a lateral, draws the findings from it and compares each with the truth.
/// @param take_next  also take the first suggested locate of each question and solve again
FindingsScore score_findings(const Scenario& scenario, std::uint64_t seed, double sure, bool take_next);

/// Where a person comes out who swings these tapes, each off by its error: least squares from the target.
PlanPoint swing(const TieSet& ties, const std::vector<double>& errors);

}  // namespace swingtie::simulate
