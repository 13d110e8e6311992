#include "route/remarks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

std::string counter(double metres, LengthUnit unit) {
  std::string text = fmt::format("{:.1f}", metres / metres_per(unit));
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return text;
}

std::string length(double metres, LengthUnit unit) {
  return format_length(metres, unit, LengthStyle::decimal, 1);
}

Diagnostic warning(Span at, std::string message, std::string hint) {
  return {Severity::warning, at, std::move(message), {}, std::move(hint)};
}

/// A place on a run's cable that is also known on the ground: its pipe entry or a locate.
struct CablePoint {
  double cable = 0;
  PlanPoint at;
  PlanCovariance covariance;
  Span span;
  std::string name;
};

/// Cable cannot be shorter than the straight line between two places it passed. Between neighbours only: what holds
/// for each leg holds for their sum.
void find_short_cable(const Placed& placed, const Model& model, std::vector<Diagnostic>& remarks) {
  for (std::size_t r = 0; r < placed.runs.size(); ++r) {
    const Run& run = placed.runs[r];
    std::vector<CablePoint> points{
        {model.plain.prior.mean[model.runs[r].zero], run.access.at, run.access.covariance, run.at, "the pipe entry"}};
    for (const ModelLocate& m : model.locates) {
      if (m.run != r) continue;
      const Locate& locate = run.locates[m.locate];
      const double round = std::max(m.across, std::min(m.along, 1.0));
      points.push_back({locate.at.metres - run.sonde_behind_lens, locate.position.at,
                        locate.position.covariance + PlanCovariance::Identity() * round * round, locate.span,
                        fmt::format("the locate at {}", counter(locate.at.metres, placed.unit))});
    }
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
      const CablePoint &a = points[i], &b = points[i + 1];
      const PlanVector apart = b.at - a.at;
      const double straight = length(apart), cable = b.cable - a.cable;
      if (straight <= 0) continue;
      const Eigen::Vector2d along(apart.de / straight, apart.dn / straight);
      const double position = along.dot((a.covariance + b.covariance) * along);
      const double reading = prior::counter_scale * cable;
      const double sigma =
          std::sqrt(position + reading * reading + 2 * prior::counter_reading * prior::counter_reading +
                    (i == 0 ? prior::counter_zero * prior::counter_zero : 0));
      if (straight - cable < 3.3 * sigma) continue;
      remarks.push_back(warning(
          b.span,
          fmt::format("{} and {} are {} apart, but only {} of cable lies between them", a.name, b.name,
                      length(straight, placed.unit), length(std::max(cable, 0.0), placed.unit)),
          a.span.line > 0 ? fmt::format("one of the two is wrong, in place or in counter: see lines {} and {}",
                                        a.span.line, b.span.line)
                          : "one of the two is wrong, in place or in counter"));
    }
  }
}

void find_contradiction(const Posterior& posterior, const Placed& placed, std::vector<Diagnostic>& remarks) {
  if (posterior.verdict.kind != Verdict::Kind::contradiction) return;
  const LocateResidual* worst = nullptr;
  for (const LocateResidual& residual : posterior.residuals)
    if (!worst || residual.quality < worst->quality) worst = &residual;
  const std::string message = "the readings contradict each other, and no few mistakes in the notes would explain it";
  if (!worst) {
    remarks.push_back(warning({}, message, "check the clean-out's position and the end of the line"));
    return;
  }
  const Locate& locate = placed.runs[worst->run].locates[worst->locate];
  remarks.push_back(warning(
      locate.span, message,
      fmt::format("shoot the locate at {} again first: it fits worst, by {}", counter(locate.at.metres, placed.unit),
                  length(std::hypot(worst->along, worst->across), placed.unit))));
}

/// The reading at which two routes lie furthest apart, and by how much.
struct Parting {
  std::size_t run = 0;
  double reading = 0, apart = 0;
};

Parting parting(const MixtureTerm& a, const MixtureTerm& b, const Model& model) {
  Parting most;
  for (std::size_t r = 0; r < model.runs.size(); ++r)
    for (int i = 1; i <= 40; ++i) {
      const double reading = model.runs[r].last * i / 40;
      const Sighting sighting{r, reading, Sight::sonde};
      const double apart = (a.state().see(sighting).point.at - b.state().see(sighting).point.at).head<2>().norm();
      if (apart > most.apart) most = {r, reading, apart};
    }
  return most;
}

void find_rivals(const Mixture& mixture, const Placed& placed, std::vector<Diagnostic>& remarks) {
  const MixtureTerm& best = *mixture.terms.front();
  for (std::size_t t = 1; t < mixture.terms.size(); ++t) {
    const MixtureTerm& rival = *mixture.terms[t];
    if (rival.weight < 0.1) break;
    const Parting p = parting(best, rival, *mixture.model);
    if (p.apart < 3 * metres_per_foot) continue;
    remarks.push_back(
        warning({},
                fmt::format("two routes fit, {:.0f} % and {:.0f} %; at {} of run `{}` they are {} apart",
                            100 * best.weight, 100 * rival.weight, counter(p.reading, placed.unit),
                            placed.runs[p.run].id, length(p.apart, placed.unit)),
                fmt::format("a locate at {} of run `{}` settles which", counter(p.reading, placed.unit),
                            placed.runs[p.run].id)));
    return;
  }
}

void find_undetermined(const Mixture& mixture, const Placed& placed, std::vector<Diagnostic>& remarks) {
  const Model& model = *mixture.model;
  for (std::size_t line = 0; line < model.lines.size(); ++line) {
    if (!model.lines[line].known) {
      remarks.push_back(
          warning(placed.lines[line].at,
                  fmt::format("no run travels line `{}`, so nothing is known of its route", placed.lines[line].id),
                  "name the line in a run (`line:`), or leave it out"));
      continue;
    }
    JacobianMatrix row = JacobianMatrix::Zero(1, model.unknowns);
    row(0, model.lines[line].columns.heading) = 1;
    const double sigma = std::sqrt(mixture.terms.front()->covariance(row)(0, 0));
    if (sigma < 30 * degree) continue;
    remarks.push_back(
        warning(placed.lines[line].at,
                fmt::format("nothing says in which direction line `{}` leaves its clean-out", placed.lines[line].id),
                "one locate away from the clean-out would"));
  }
}

void find_open_end(const Posterior& posterior, const Mixture& mixture, const Placed& placed,
                   std::vector<Diagnostic>& remarks) {
  for (std::size_t r = 0; r < placed.runs.size(); ++r) {
    const Run& run = placed.runs[r];
    if (run.locates.empty()) continue;
    const double beyond = mixture.model->runs[r].last - run.locates.back().at.metres;
    if (beyond < 3.0) continue;
    const PointMixture end = posterior.at_counter(r, {mixture.model->runs[r].last}, Sight::lens);
    const double radius = circle_radius(end.covariance().topLeftCorner<2, 2>(), 0.95);
    if (radius < 3 * metres_per_foot) continue;  // something else holds the end: the main, another run
    remarks.push_back(
        warning(run.locates.back().span,
                fmt::format("past the last locate of run `{}`, at {}, the route is cable and bends alone: its end is "
                            "known to within {}",
                            run.id, counter(run.locates.back().at.metres, placed.unit), length(radius, placed.unit)),
                fmt::format("a locate at {} would pin it down", counter(mixture.model->runs[r].last, placed.unit))));
  }
}

void find_useless_readings(const Placed& placed, std::vector<Diagnostic>& remarks) {
  for (const Run& run : placed.runs)
    for (const Locate& locate : run.locates)
      if (locate.depth.ratio && !(locate.depth.ratio->lower > locate.depth.ratio->upper))
        remarks.push_back(
            warning(locate.span,
                    fmt::format("the two signals at {} give no depth: the lower reading must be the stronger",
                                counter(locate.at.metres, placed.unit)),
                    "were `lower` and `upper` exchanged?"));
}

}  // namespace

std::vector<Diagnostic> remarks(const Posterior& posterior, const Mixture& mixture, const Placed& placed) {
  std::vector<Diagnostic> all;
  find_contradiction(posterior, placed, all);
  find_short_cable(placed, *mixture.model, all);
  find_rivals(mixture, placed, all);
  find_undetermined(mixture, placed, all);
  find_open_end(posterior, mixture, placed, all);
  find_useless_readings(placed, all);
  return all;
}

}  // namespace swingtie
