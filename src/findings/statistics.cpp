#include "findings/statistics.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numeric>

#include "measure/bearing.hpp"

namespace swingtie {

double mean_of(std::span<const double> values) {
  return values.empty() ? 0.0
                        : std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

SitePoint mean_of(std::span<const SitePoint> points) {
  SitePoint sum;
  if (points.empty()) return sum;
  const SitePoint o = points.front();
  for (const SitePoint& p : points) {
    sum.e += p.e - o.e;
    sum.n += p.n - o.n;
    sum.up += p.up - o.up;
  }
  const double n = static_cast<double>(points.size());
  return {o.e + sum.e / n, o.n + sum.n / n, o.up + sum.up / n};
}

PlanCovariance covariance_of(std::span<const SitePoint> points) {
  PlanCovariance sum = PlanCovariance::Zero();
  if (points.empty()) return sum;
  const SitePoint o = mean_of(points);
  for (const SitePoint& p : points) {
    const Eigen::Vector2d r(p.e - o.e, p.n - o.n);
    sum += r * r.transpose();
  }
  return sum / static_cast<double>(points.size());
}

double quantile(std::vector<double>& values, double share) {
  assert(!values.empty());
  const double rank = std::clamp(share, 0.0, 1.0) * static_cast<double>(values.size() - 1);
  const auto low = static_cast<std::ptrdiff_t>(rank);
  std::nth_element(values.begin(), values.begin() + low, values.end());
  const double below = values[static_cast<std::size_t>(low)];
  if (low + 1 == static_cast<std::ptrdiff_t>(values.size())) return below;
  const double above = *std::min_element(values.begin() + low + 1, values.end());
  return below + (rank - static_cast<double>(low)) * (above - below);
}

Interval interval95(std::vector<double> values) {
  if (values.empty()) return {};
  const double low = quantile(values, 0.025);
  return {low, quantile(values, 0.975)};
}

double turn_between(Azimuth from, Azimuth to) {
  return std::remainder(to.radians - from.radians, 2 * pi);
}

}  // namespace swingtie
