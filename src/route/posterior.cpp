#include "route/posterior.hpp"

#include <algorithm>
#include <cmath>

#include "route/mixture.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

/// Appends to each point of a mixture what one of its terms says of it.
void add_term(std::vector<PointMixture>& points, const Model& model, const MixtureTerm& term,
              const std::vector<State::Seen>& seen, double blur) {
  JacobianMatrix rows = JacobianMatrix::Zero(static_cast<Eigen::Index>(3 * seen.size()), model.unknowns);
  for (std::size_t i = 0; i < seen.size(); ++i)
    term.state().add_derivatives(seen[i], rows.middleRows(static_cast<Eigen::Index>(3 * i), 3));
  const std::vector<SpaceCovariance> covariances = term.point_covariances(rows);
  for (std::size_t i = 0; i < seen.size(); ++i) {
    const Chain::Point& point = seen[i].point;
    points[i].terms.push_back({term.weight,
                               point.at + Eigen::Vector3d(model.origin.e, model.origin.n, model.origin.up),
                               covariances[i] + blur * blur * point.direction * point.direction.transpose()});
  }
}

/// The vertices about a value and how far between them it lies; beyond the ends the last piece runs on.
struct Between {
  std::size_t left = 0;
  double share = 0;
};

Between locate_between(const std::vector<double>& values, double value) {
  const auto after = std::upper_bound(values.begin(), values.end(), value);
  std::size_t i = after == values.begin() ? 0 : static_cast<std::size_t>(after - values.begin()) - 1;
  i = std::min(i, values.size() - 2);
  // A vertical piece has no length on the plan to divide by; neighbours that do carry the continuation.
  while (i > 0 && values[i + 1] - values[i] < 1e-9) --i;
  const double width = values[i + 1] - values[i];
  return {i, width < 1e-9 ? 0 : (value - values[i]) / width};
}

double interpolate(const std::vector<double>& values, Between b) {
  return values[b.left] + b.share * (values[b.left + 1] - values[b.left]);
}

SitePoint interpolate(const std::vector<SitePoint>& points, Between b) {
  const SitePoint &p = points[b.left], &q = points[b.left + 1];
  return {p.e + b.share * (q.e - p.e), p.n + b.share * (q.n - p.n), p.up + b.share * (q.up - p.up)};
}

double pipe_at(const RouteDraw& draw, const Run& run, std::size_t index, CounterReading at, Sight sight) {
  const RouteDraw::RunCounter& c = draw.runs[index];
  const double ahead = sight == Sight::seen ? run.view_ahead : sight == Sight::sonde ? -run.sonde_behind_lens : 0;
  const double restart = at.metres > c.restart_after ? c.restart : 0;
  return c.entry + c.sense * ((at.metres - c.zero - restart) * c.scale + ahead);
}

}  // namespace

Eigen::Vector3d PointMixture::mean() const {
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  for (const Term& term : terms) sum += term.weight * term.mean;
  return sum;
}

SpaceCovariance PointMixture::covariance() const {
  const Eigen::Vector3d centre = mean();
  SpaceCovariance sum = SpaceCovariance::Zero();
  for (const Term& term : terms) {
    const Eigen::Vector3d off = term.mean - centre;
    sum += term.weight * (term.covariance + off * off.transpose());
  }
  return sum;
}

PointMixture Posterior::at_station(std::size_t line, Station station) const {
  return mixture ? at_stations(*mixture, line, {station}).front() : PointMixture();
}

std::vector<PointMixture> at_stations(const Mixture& mixture, std::size_t line,
                                      const std::vector<Station>& stations) {
  std::vector<PointMixture> points(stations.size());
  if (!mixture.model->lines[line].known) return points;
  for (const auto& term : mixture.terms) {
    const State& state = term->state();
    const Chain& chain = state.chains[line];
    const State::Seen begin = state.endpoint(mixture.model->lines[line].begin);
    const double zero = chain.plan_length(begin.u);
    std::vector<State::Seen> seen(stations.size(), begin);
    for (std::size_t i = 0; i < stations.size(); ++i) {
      seen[i].u = chain.pipe_coordinate(zero + stations[i].metres);
      seen[i].point = chain.point(seen[i].u);
    }
    add_term(points, *mixture.model, *term, seen, 0);
  }
  return points;
}

PointMixture Posterior::at_counter(std::size_t run, CounterReading at, Sight sight) const {
  std::vector<PointMixture> point(1);
  if (!mixture) return point.front();
  // What was seen at a reading lies where the reading says only to within the reading's own error.
  const double blur = sight == Sight::seen ? prior::counter_reading : 0;
  for (const auto& term : mixture->terms)
    add_term(point, *mixture->model, *term, {term->state().see({run, at.metres, sight})}, blur);
  return point.front();
}

SitePoint point_at(const RouteDraw& draw, const Placed& placed, std::size_t run, CounterReading at, Sight sight) {
  const RouteDraw::LineCourse& course = draw.lines[placed.runs[run].line];
  if (course.vertices.size() < 2) return {};
  return interpolate(course.vertices, locate_between(course.pipe, pipe_at(draw, placed.runs[run], run, at, sight)));
}

Station station_at(const RouteDraw& draw, const Placed& placed, std::size_t run, CounterReading at, Sight sight) {
  const RouteDraw::LineCourse& course = draw.lines[placed.runs[run].line];
  if (course.vertices.size() < 2) return {};
  return {interpolate(course.stations, locate_between(course.pipe, pipe_at(draw, placed.runs[run], run, at, sight)))};
}

SitePoint point_at(const RouteDraw& draw, std::size_t line, Station station) {
  const RouteDraw::LineCourse& course = draw.lines[line];
  if (course.vertices.size() < 2) return {};
  return interpolate(course.vertices, locate_between(course.stations, station.metres));
}

}  // namespace swingtie
