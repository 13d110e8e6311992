#include "findings/sampling.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <string_view>

#include "measure/bearing.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

/// Two independent standard normal numbers that depend on nothing but `key`.
/// Mixing of the bits: splitmix64 (Steele, Lea, Flood, OOPSLA 2014); to normals: Box and Muller, 1958.
std::array<double, 2> normal_pair(std::uint64_t key) {
  const auto mix = [](std::uint64_t z) {
    z += 0x9e3779b97f4a7c15U;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
    return z ^ (z >> 31);
  };
  const std::uint64_t first = mix(key), second = mix(first);
  const double u = (static_cast<double>(first >> 11) + 0.5) * 0x1p-53;
  const double v = static_cast<double>(second >> 11) * 0x1p-53;
  const double radius = std::sqrt(-2 * std::log(u));
  return {radius * std::cos(2 * pi * v), radius * std::sin(2 * pi * v)};
}

/// FNV-1a.
std::uint64_t key_of(std::string_view name) {
  std::uint64_t key = 14695981039346656037U;
  for (const char letter : name) key = (key ^ static_cast<unsigned char>(letter)) * 1099511628211U;
  return key;
}

/// The point at a station of the piece that ends at vertex `i`, or straight on from it.
SitePoint on_piece(const RouteDraw::LineCourse& course, std::size_t i, double station) {
  const double step = course.stations[i] - course.stations[i - 1];
  const double t = step > 0 ? (station - course.stations[i - 1]) / step : 0;
  const SitePoint &a = course.vertices[i - 1], &b = course.vertices[i];
  return {a.e + t * (b.e - a.e), a.n + t * (b.n - a.n), a.up + t * (b.up - a.up)};
}

SitePoint along_course(const RouteDraw::LineCourse& course, double station) {
  const auto& s = course.stations;
  // The pieces are nearly equal, so the guess is next to the mark.
  const std::size_t last = s.size() - 1;
  const double guess = station / s[last] * static_cast<double>(last);
  std::size_t i = guess <= 1 ? 1 : std::min(static_cast<std::size_t>(guess), last);
  while (i > 1 && station < s[i - 1]) --i;
  while (i < last && station >= s[i]) ++i;
  return on_piece(course, i, station);
}

}  // namespace

Sampling::Sampling(const Placed& placed, const Posterior& posterior) : placed_(placed), posterior_(posterior) {
  for (const Run& run : placed.runs) run_keys_.push_back(key_of(run.id));
  shifts_.resize(placed.features.size());
  for (std::size_t f = 0; f < placed.features.size(); ++f) {
    const PlanCovariance& c = placed.features[f].covariance;
    if (!(c.trace() > 1e-12)) continue;
    // The lower Cholesky factor, written out: a covariance of rank one has no full one.
    const double a = std::sqrt(std::max(0.0, c(0, 0)));
    const double b = a > 0 ? c(0, 1) / a : 0;
    const double d = std::sqrt(std::max(0.0, c(1, 1) - b * b));
    // Keyed by the name, so that a further feature in the job moves no other one.
    std::uint64_t key = 1469598103934665603U;
    for (const char letter : placed.features[f].id) key = (key ^ static_cast<unsigned char>(letter)) * 1099511628211U;
    shifts_[f].reserve(draws());
    for (std::size_t i = 0; i < draws(); ++i) {
      const auto z = normal_pair(key + i);
      shifts_[f].push_back({a * z[0], b * z[0] + d * z[1]});
    }
  }
}

PlanVector Sampling::shift(std::size_t feature, std::size_t draw) const {
  return shifts_[feature].empty() ? PlanVector{} : shifts_[feature][draw];
}

const Sample& Sampling::at_counter(std::size_t run, CounterReading at, Sight sight) const {
  const auto [entry, is_new] = asked_.try_emplace({run, at.metres, sight});
  Sample& out = entry->second;
  if (!is_new) return out;
  out.points.reserve(draws());
  out.stations.reserve(draws());
  const std::size_t line = placed_.runs[run].line;
  // The reading to the nearest micrometre is part of the key: another reading has an error of its own.
  const auto reading = static_cast<std::uint64_t>(std::llround(at.metres * 1e6));
  const std::uint64_t key = run_keys_[run] + reading * 0x2545f4914f6cdd1dU;
  std::array<double, 2> normals{};
  for (std::size_t d = 0; d < draws(); ++d) {
    if (d % 2 == 0) normals = normal_pair(key + d);
    const double error = prior::counter_reading * normals[d % 2];
    out.stations.push_back(
        swingtie::station_at(posterior_.draws[d], placed_, run, {at.metres + error}, sight).metres);
    out.points.push_back(along_course(posterior_.draws[d].lines[line], out.stations.back()));
  }
  return out;
}

Sample Sampling::exactly_at(std::size_t run, CounterReading at, Sight sight, std::size_t stride) const {
  Sample out;
  const std::size_t line = placed_.runs[run].line;
  for (std::size_t d = 0; d < draws(); d += stride) {
    const RouteDraw& draw = posterior_.draws[d];
    out.stations.push_back(swingtie::station_at(draw, placed_, run, at, sight).metres);
    out.points.push_back(along_course(draw.lines[line], out.stations.back()));
  }
  return out;
}

Sample Sampling::at_station(std::size_t line, double station) const {
  Sample out;
  out.stations.assign(draws(), station);
  out.points.reserve(draws());
  for (const RouteDraw& draw : posterior_.draws) out.points.push_back(along_course(draw.lines[line], station));
  return out;
}

std::vector<std::vector<SitePoint>> Sampling::at_stations(std::size_t line,
                                                          const std::vector<double>& stations) const {
  std::vector<std::vector<SitePoint>> out(stations.size(), std::vector<SitePoint>(draws()));
  for (std::size_t d = 0; d < draws(); ++d) {
    const RouteDraw::LineCourse& course = posterior_.draws[d].lines[line];
    std::size_t i = 1;
    for (std::size_t k = 0; k < stations.size(); ++k) {
      while (i + 1 < course.stations.size() && stations[k] >= course.stations[i]) ++i;
      out[k][d] = on_piece(course, i, stations[k]);
    }
  }
  return out;
}

PointMixture Sampling::mixture(const Sample& sample) const {
  std::size_t groups = 1;
  for (const RouteDraw& draw : posterior_.draws) groups = std::max(groups, draw.alternative + 1);
  std::vector<std::vector<SitePoint>> members(groups);
  for (std::size_t d = 0; d < draws(); ++d) members[posterior_.draws[d].alternative].push_back(sample.points[d]);
  PointMixture out;
  for (const auto& points : members) {
    if (points.empty()) continue;
    PointMixture::Term term;
    term.weight = static_cast<double>(points.size()) / static_cast<double>(draws());
    const SitePoint centre = mean_of(points);
    term.mean = {centre.e, centre.n, centre.up};
    for (const SitePoint& p : points) {
      const Eigen::Vector3d r = Eigen::Vector3d(p.e, p.n, p.up) - term.mean;
      term.covariance += r * r.transpose();
    }
    term.covariance /= static_cast<double>(points.size());
    out.terms.push_back(term);
  }
  std::stable_sort(out.terms.begin(), out.terms.end(),
                   [](const auto& a, const auto& b) { return a.weight > b.weight; });
  return out;
}

PointMixture Sampling::mixture_at(std::size_t run, CounterReading at, Sight sight, const Sample& sample) const {
  PointMixture exact = posterior_.at_counter(run, at, sight);
  return exact.terms.empty() ? mixture(sample) : exact;
}

Azimuth Sampling::heading(std::size_t line, double station) const {
  const auto& joints = posterior_.lines[line];
  const auto mean_at = [&](double s) {
    auto next = std::upper_bound(joints.begin() + 1, joints.end() - 1, s,
                                 [](double x, const RouteStation& joint) { return x < joint.station.metres; });
    const RouteStation &a = *(next - 1), &b = *next;
    const double step = b.station - a.station;
    return plan(a.at) + (step > 0 ? (s - a.station.metres) / step : 0) * (plan(b.at) - plan(a.at));
  };
  // Half a metre to each side: longer than a fitting, shorter than a straight piece of any use.
  return azimuth(mean_at(station - 0.5), mean_at(station + 0.5));
}

std::vector<double> Sampling::depths(const Sample& sample) const {
  const PlanPoint o = plan(mean_of(sample.points));
  const GroundSurface& ground = *placed_.ground;
  constexpr double arm = 0.5;
  const double height = ground.height(o);
  const double slope_e = (ground.height({o.e + arm, o.n}) - ground.height({o.e - arm, o.n})) / (2 * arm);
  const double slope_n = (ground.height({o.e, o.n + arm}) - ground.height({o.e, o.n - arm})) / (2 * arm);
  std::vector<double> out;
  out.reserve(sample.points.size());
  for (const SitePoint& p : sample.points)
    out.push_back(height + slope_e * (p.e - o.e) + slope_n * (p.n - o.n) - p.up);
  return out;
}

}  // namespace swingtie
