#include "simulate/baseline.hpp"

#include <algorithm>
#include <utility>

namespace swingtie::simulate {

JoinedLocates::JoinedLocates(const Run& run) : origin_(run.access.at) {
  double entry = 0;
  if (run.zero == CounterZero::at_rim) entry = run.drop;
  if (run.zero == CounterZero::stated) entry = run.zero_reading.metres;
  std::vector<std::pair<double, PlanVector>> points = {{entry, {0, 0}}};
  for (const Locate& locate : run.locates)
    points.push_back({locate.at.metres - run.sonde_behind_lens, locate.position.at - origin_});
  std::stable_sort(points.begin(), points.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (std::size_t i = 0; i < points.size();) {
    PlanVector sum;
    std::size_t j = i;
    for (; j < points.size() && points[j].first - points[i].first < 0.05; ++j) sum = sum + points[j].second;
    knots_.push_back(points[i].first);
    values_.push_back((1.0 / static_cast<double>(j - i)) * sum);
    i = j;
  }
  // Natural spline: the tridiagonal system of the second derivatives, solved by elimination (Thomas).
  const std::size_t n = knots_.size();
  second_.assign(n, {});
  if (n < 3) return;
  std::vector<double> diagonal(n, 1);
  std::vector<PlanVector> right(n);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    const double before = knots_[i] - knots_[i - 1], after = knots_[i + 1] - knots_[i];
    diagonal[i] = 2 * (before + after);
    right[i] = 6 * ((1 / after) * (values_[i + 1] - values_[i]) - (1 / before) * (values_[i] - values_[i - 1]));
    if (i > 1) {
      const double factor = before / diagonal[i - 1];
      diagonal[i] -= factor * before;
      right[i] = right[i] - factor * right[i - 1];
    }
  }
  for (std::size_t i = n - 2; i >= 1; --i)
    second_[i] = (1 / diagonal[i]) * (right[i] - (knots_[i + 1] - knots_[i]) * second_[i + 1]);
}

PlanPoint JoinedLocates::straight(CounterReading at) const {
  if (knots_.size() < 2) return origin_ + values_.front();
  const auto above = std::upper_bound(knots_.begin() + 1, knots_.end() - 1, at.metres);
  const auto i = static_cast<std::size_t>(above - knots_.begin()) - 1;
  const double share = (at.metres - knots_[i]) / (knots_[i + 1] - knots_[i]);
  return origin_ + (values_[i] + share * (values_[i + 1] - values_[i]));
}

PlanPoint JoinedLocates::smooth(CounterReading at) const {
  if (knots_.size() < 3) return straight(at);
  const auto above = std::upper_bound(knots_.begin() + 1, knots_.end() - 1, at.metres);
  const auto i = static_cast<std::size_t>(above - knots_.begin()) - 1;
  const double h = knots_[i + 1] - knots_[i];
  const auto inside = [&](double x) {
    const double b = (x - knots_[i]) / h, a = 1 - b;
    return a * values_[i] + b * values_[i + 1] +
           (h * h / 6) * ((a * a * a - a) * second_[i] + (b * b * b - b) * second_[i + 1]);
  };
  if (at.metres >= knots_[i] && at.metres <= knots_[i + 1]) return origin_ + inside(at.metres);
  const double end = at.metres < knots_[i] ? knots_[i] : knots_[i + 1];
  const double step = 1e-4 * h;
  const PlanVector tangent = at.metres < knots_[i] ? (1 / step) * (inside(end + step) - inside(end))
                                                   : (1 / step) * (inside(end) - inside(end - step));
  return origin_ + (inside(end) + (at.metres - end) * tangent);
}

}  // namespace swingtie::simulate
