#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <tuple>
#include <vector>

#include "findings/findings.hpp"
#include "findings/statistics.hpp"

namespace swingtie {

/// Where a thing lies in every draw: one entry per draw, in their order.
struct Sample {
  std::vector<SitePoint> points;
  std::vector<double> stations;  ///< metres
};

/// The joint draws of a posterior, asked the same few ways by every question.
class Sampling {
 public:
  Sampling(const Placed& placed, const Posterior& posterior);

  const Placed& placed() const { return placed_; }
  const Posterior& posterior() const { return posterior_; }
  std::size_t draws() const { return posterior_.draws.size(); }

  /// Where a counter reading of a run lies, the error of reading that counter included (the same for every question
  /// about this reading).
  const Sample& at_counter(std::size_t run, CounterReading at, Sight sight) const;
  /// The same where the counter is set to the reading rather than read: without the error of one reading. Only
  /// every `stride`-th draw.
  Sample exactly_at(std::size_t run, CounterReading at, Sight sight, std::size_t stride) const;
  /// All draws of a line at a station. Beyond an end the course is continued straight.
  Sample at_station(std::size_t line, double station) const;
  /// The same at many stations, walking every draw once.
  /// @param stations  rising
  /// @return the points of every draw, station by station
  std::vector<std::vector<SitePoint>> at_stations(std::size_t line, const std::vector<double>& stations) const;

  /// How far a feature's own uncertainty moves it in this draw: the whole feature at once, by its covariance.
  /// Zero for a feature that is known exactly. Deterministic.
  PlanVector shift(std::size_t feature, std::size_t draw) const;

  /// Mixture of where a sample lies: one Gaussian per alternative, from its draws.
  PointMixture mixture(const Sample& sample) const;

  /// The posterior's own mixture there; from the draws where it has none (a posterior made of draws alone).
  PointMixture mixture_at(std::size_t run, CounterReading at, Sight sight, const Sample& sample) const;

  /// Direction of the line at a station, toward the main, by the mean course.
  Azimuth heading(std::size_t line, double station) const;

  /// Ground to the point, metres, in every draw. The ground is taken as a plane near the sample's middle.
  std::vector<double> depths(const Sample& sample) const;

 private:
  const Placed& placed_;
  const Posterior& posterior_;
  std::vector<std::vector<PlanVector>> shifts_;  ///< per feature; empty where it is known exactly
  mutable std::map<std::tuple<std::size_t, double, Sight>, Sample>
      asked_;                            ///< an item is asked for by many questions
  std::vector<std::uint64_t> run_keys_;  ///< by the runs' names, so that their order changes nothing
};

}  // namespace swingtie
