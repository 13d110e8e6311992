#pragma once

#include <cstdio>
#include <string>
#include <vector>

#include "simulate/score.hpp"

namespace swingtie::simulate {

/// All scores of one scenario, in the order of their seeds.
struct ScenarioScores {
  const Scenario* scenario = nullptr;
  std::vector<LateralScore> laterals;
};

/// The figures of one scenario: lengths in feet, shares 0..1.
struct Summary {
  double rms = 0, joined = 0, spline = 0, bound = 0;  ///< at unlocated counters before the last locate
  double rms_beyond = 0;                              ///< past the last locate
  double coverage = 0, coverage_error = 0;            ///< of the 95 % region; standard error, laterals as clusters
  double median_area = 0;                             ///< square feet
  double depth_coverage = 0, depth_half = 0;
  int mistakes = 0, named = 0, tellable = 0;  ///< tellable: named, or a solve told all else would name it
  int false_locates = 0, false_hands = 0, false_zeros = 0, false_bends = 0;
  int sound_locates = 0, sound_bends = 0, sound_zeros = 0;
  double median_ms = 0, slow_ms = 0;  ///< 50th and 95th percentile
  double median_solves = 0;
  double locate_along = 0, locate_across = 0;  ///< RMS of the sound locates' errors
};
Summary summarise(const ScenarioScores& scores);

/// Counters nearer than this to a locate or the pipe entry are not called unlocated.
inline constexpr double unlocated_from_ft = 3;

void print_table(std::FILE* out, const std::vector<ScenarioScores>& all);
/// How often the truth was private among the points told so with a probability, over all scenarios given.
void print_reliability(std::FILE* out, const std::vector<ScenarioScores>& all);
void print_details(std::FILE* out, const ScenarioScores& scores);
void print_csv(std::FILE* out, const std::vector<ScenarioScores>& all);

}  // namespace swingtie::simulate
