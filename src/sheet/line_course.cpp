#include "sheet/line_course.hpp"

#include <algorithm>
#include <array>

namespace swingtie {

LineCourse::Between LineCourse::find(Station station) const {
  const auto& s = line_.stations;
  if (s.size() < 2) return {0, 0};
  const auto after = std::upper_bound(s.begin() + 1, s.end() - 1, station.metres,
                                      [](double value, const StationFinding& f) { return value < f.station.metres; });
  const std::size_t i = static_cast<std::size_t>(after - s.begin()) - 1;
  const double span = s[i + 1].station - s[i].station;
  return {i, span > 0 ? std::clamp((station - s[i].station) / span, 0.0, 1.0) : 0.0};
}

SitePoint LineCourse::at(Station station) const {
  const Between b = find(station);
  if (line_.stations.size() < 2) return line_.stations.empty() ? SitePoint{} : line_.stations.front().at;
  const SitePoint p = line_.stations[b.before].at, q = line_.stations[b.before + 1].at;
  return {p.e + b.share * (q.e - p.e), p.n + b.share * (q.n - p.n), p.up + b.share * (q.up - p.up)};
}

double LineCourse::depth(Station station) const {
  const Between b = find(station);
  if (line_.stations.size() < 2) return 0;
  return line_.stations[b.before].depth +
         b.share * (line_.stations[b.before + 1].depth - line_.stations[b.before].depth);
}

Interval LineCourse::depth95(Station station) const {
  const Between b = find(station);
  if (line_.stations.size() < 2) return {};
  const Interval p = line_.stations[b.before].depth95, q = line_.stations[b.before + 1].depth95;
  return {p.low + b.share * (q.low - p.low), p.high + b.share * (q.high - p.high)};
}

std::vector<PlanPoint> LineCourse::points() const {
  std::vector<PlanPoint> out;
  for (const StationFinding& s : line_.stations) out.push_back(plan(s.at));
  return out;
}

std::vector<PlanPoint> LineCourse::between(Station from, Station to) const {
  std::vector<PlanPoint> out = {plan(at(from))};
  for (const StationFinding& s : line_.stations) {
    if (s.station > from && s.station < to) out.push_back(plan(s.at));
  }
  out.push_back(plan(at(to)));
  return out;
}

double tick_step(LengthUnit unit, double mm_per_metre) {
  constexpr std::array<double, 7> feet = {1, 2, 5, 10, 20, 50, 100}, metres = {0.5, 1, 2, 5, 10, 20, 50};
  for (const double step : is_feet(unit) ? feet : metres) {
    if (step * metres_per(unit) * mm_per_metre >= 9) return step * metres_per(unit);
  }
  return 100 * metres_per(unit);
}

}  // namespace swingtie
