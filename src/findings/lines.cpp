#include <algorithm>
#include <cmath>
#include <numeric>

#include "findings/bands.hpp"
#include "findings/geometry.hpp"
#include "findings/pipes.hpp"
#include "findings/questions.hpp"
#include "measure/bearing.hpp"
#include "measure/covariance.hpp"

namespace swingtie {
namespace {

/// Alternatives below this share are left out of the corridor, whose bands are widened to make up for it.
constexpr double least_share = 0.02;

double across(const PlanCovariance& c, Azimuth heading) {
  const PlanVector r = right_of(direction(heading));
  const Eigen::Vector2d v(r.de, r.dn);
  return std::sqrt(std::max(0.0, v.dot(c * v)));
}

std::vector<PlanPoint> ring_of(const ErrorEllipse& ellipse, PlanPoint centre) {
  constexpr int corners = 32;
  std::vector<PlanPoint> out;
  const PlanVector major = direction(ellipse.major_axis), minor = right_of(major);
  for (int i = 0; i < corners; ++i) {
    const double t = -2 * pi * i / corners;  // clockwise axes, so backwards for a counter-clockwise ring
    out.push_back(centre + (ellipse.semi_major * std::cos(t)) * major + (ellipse.semi_minor * std::sin(t)) * minor);
  }
  return out;
}

/// Where one group of draws has its course, and how far it strays.
struct GroupCourse {
  std::vector<std::size_t> members;  ///< indices of draws
  std::vector<PlanPoint> centres;
  std::vector<PlanCovariance> spreads;
};

/// @param points  points[station][draw]
GroupCourse course_of(std::vector<std::size_t> members, const std::vector<std::vector<SitePoint>>& points) {
  GroupCourse out;
  std::vector<SitePoint> here(members.size());
  for (const auto& all : points) {
    for (std::size_t i = 0; i < members.size(); ++i) here[i] = all[members[i]];
    out.centres.push_back(plan(mean_of(here)));
    out.spreads.push_back(covariance_of(here));
  }
  out.members = std::move(members);
  return out;
}

/// Whether two groups run so close together that one band serves both.
bool nearly_alike(const GroupCourse& a, const GroupCourse& b) {
  for (std::size_t i = 0; i < a.centres.size(); ++i)
    if (distance(a.centres[i], b.centres[i]) > 0.03 + 0.3 * std::sqrt(a.spreads[i].trace() / 2)) return false;
  return true;
}

/// The courses worth drawing: one for each alternative, those that hardly differ joined.
std::vector<GroupCourse> courses(const std::vector<RouteDraw>& draws,
                                 const std::vector<std::vector<SitePoint>>& points) {
  std::size_t groups = 1;
  for (const RouteDraw& draw : draws) groups = std::max(groups, draw.alternative + 1);
  std::vector<std::vector<std::size_t>> members(groups);
  for (std::size_t d = 0; d < draws.size(); ++d) members[draws[d].alternative].push_back(d);
  std::stable_sort(members.begin(), members.end(), [](const auto& a, const auto& b) { return a.size() > b.size(); });
  std::vector<GroupCourse> out;
  for (auto& group : members) {
    if (group.empty()) break;
    GroupCourse course = course_of(std::move(group), points);
    const auto alike =
        std::find_if(out.begin(), out.end(), [&](const GroupCourse& o) { return nearly_alike(o, course); });
    if (alike == out.end()) {
      out.push_back(std::move(course));
      continue;
    }
    std::vector<std::size_t> both = std::move(alike->members);
    both.insert(both.end(), course.members.begin(), course.members.end());
    *alike = course_of(std::move(both), points);
  }
  const double n = static_cast<double>(draws.size());
  std::erase_if(out, [&](const GroupCourse& course) {
    return course.members.size() < 3 || static_cast<double>(course.members.size()) < least_share * n;
  });
  if (out.empty()) {  // hundreds of tiny alternatives: one band for all of them
    std::vector<std::size_t> all(draws.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    out.push_back(course_of(std::move(all), points));
  }
  return out;
}

/// The band of the stations' positions: for every course worth drawing, the interval across it that holds each
/// station; at both ends the ellipse, since there the line may also end sooner or later.
Region corridor(const Sampling& sampling, std::size_t line, const std::vector<double>& stations) {
  const auto& draws = sampling.posterior().draws;
  const std::vector<GroupCourse> drawn = courses(draws, sampling.at_stations(line, stations));
  double kept = 0;
  for (const GroupCourse& course : drawn)
    kept += static_cast<double>(course.members.size()) / static_cast<double>(draws.size());
  const double each = std::min(0.95 / kept, 0.995);
  const double k = normal_quantile(0.5 + each / 2);

  std::vector<std::vector<Disc>> rows;
  std::vector<std::vector<PlanPoint>> ends;
  for (const GroupCourse& course : drawn) {
    const auto& centres = course.centres;
    std::vector<Disc> row;
    for (std::size_t i = 0; i < centres.size(); ++i) {
      const std::size_t before = i == 0 ? 0 : i - 1, after = std::min(i + 1, centres.size() - 1);
      row.push_back({centres[i], k * across(course.spreads[i], azimuth(centres[before], centres[after]))});
    }
    if (!centres.empty()) {
      ends.push_back(ring_of(error_ellipse(course.spreads.front(), each), centres.front()));
      ends.push_back(ring_of(error_ellipse(course.spreads.back(), each), centres.back()));
    }
    rows.push_back(std::move(row));
  }
  return swept(rows, ends);
}

StationFinding station_finding(const Sampling& sampling, const RouteStation& s, Azimuth heading,
                               const RuleSet& rules) {
  StationFinding out;
  out.station = s.station;
  out.at = s.at;
  out.ellipse95 = error_ellipse(s.covariance, 0.95);
  out.depth = s.depth;
  const double half = normal_quantile(0.975) * s.sigma_depth;
  out.depth95 = {s.depth - half, s.depth + half};
  if (sampling.placed().ground->has_elevations()) out.elevation = s.at.up;
  out.knowledge = s.knowledge;
  out.across95 = normal_quantile(0.975) * across(s.covariance, heading);
  out.within_tolerance = out.across95 <= rules.tolerance_zone;
  return out;
}

/// A round distance between the rows of a table of stations: some five to ten rows.
double mark_step(double length, LengthUnit unit) {
  const double m = metres_per(unit);
  if (is_feet(unit)) return (length < 50 * m ? 5 : length < 120 * m ? 10 : 25) * m;
  return length < 10 ? 1 : length < 20 ? 2 : length < 50 ? 5 : 10;
}

}  // namespace

std::vector<LineFinding> find_lines(const Sampling& sampling, const RuleSet& rules) {
  const Placed& placed = sampling.placed();
  const Posterior& posterior = sampling.posterior();
  std::vector<LineFinding> out;
  for (std::size_t l = 0; l < placed.lines.size(); ++l) {
    LineFinding line;
    line.line = l;
    line.id = placed.lines[l].id;
    for (const Alternative& alternative : posterior.alternatives) {
      RouteAlternative route;
      route.probability = alternative.probability;
      if (l < alternative.routes.size()) route.route = alternative.routes[l];
      for (const Explanation& mistake : alternative.mistakes) route.because.push_back(mistake.says);
      line.alternatives.push_back(std::move(route));
    }
    const auto& joints = l < posterior.lines.size() ? posterior.lines[l] : std::vector<RouteStation>{};
    if (joints.size() >= 2) {
      std::vector<double> lengths;
      for (const RouteDraw& draw : posterior.draws) lengths.push_back(draw.lines[l].stations.back());
      line.length = joints.back().station - joints.front().station;
      line.length95 = interval95(lengths);
      std::vector<double> stations;
      for (std::size_t i = 0; i < joints.size(); ++i) {
        const Azimuth heading =
            azimuth(plan(joints[i == 0 ? 0 : i - 1].at), plan(joints[std::min(i + 1, joints.size() - 1)].at));
        line.stations.push_back(station_finding(sampling, joints[i], heading, rules));
        stations.push_back(joints[i].station.metres);
      }
      line.corridor95 = corridor(sampling, l, stations);
      const double step = mark_step(line.length, placed.unit);
      std::vector<double> round;
      for (int m = 0; m <= static_cast<int>((line.length + 1e-9) / step); ++m) round.push_back(m * step);
      std::vector<std::vector<SitePoint>> points = sampling.at_stations(l, round);
      for (std::size_t m = 0; m < round.size(); ++m) {
        const double s = round[m];
        const Sample sample{std::move(points[m]), std::vector<double>(sampling.draws(), s)};
        const auto depths = sampling.depths(sample);
        RouteStation mark;
        mark.station = {s};
        mark.at = mean_of(sample.points);
        mark.covariance = covariance_of(sample.points);
        mark.depth = mean_of(depths);
        const auto next = std::lower_bound(stations.begin(), stations.end(), s);
        const auto i = std::min<std::size_t>(static_cast<std::size_t>(next - stations.begin()), joints.size() - 1);
        mark.knowledge = joints[i].knowledge;
        StationFinding finding = station_finding(sampling, mark, sampling.heading(l, s), rules);
        finding.depth95 = interval95(depths);
        line.marks.push_back(finding);
      }
    }
    line.pipes = mean_pipes(sampling, l);
    out.push_back(std::move(line));
  }
  return out;
}

}  // namespace swingtie
