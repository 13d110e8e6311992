#include <Eigen/LU>
#include <algorithm>

#include "findings/phrases.hpp"
#include "findings/questions.hpp"

namespace swingtie {
namespace {

bool nearly_alike(const PointMixture::Term& a, const PointMixture::Term& b) {
  const Eigen::Matrix2d c = a.covariance.topLeftCorner<2, 2>() + 1e-6 * Eigen::Matrix2d::Identity();
  const Eigen::Matrix2d difference = b.covariance.topLeftCorner<2, 2>() - a.covariance.topLeftCorner<2, 2>();
  const Eigen::Vector2d step = (b.mean - a.mean).head<2>();
  return step.dot(c.inverse() * step) < 0.1 && difference.norm() < 0.3 * c.norm();
}

/// The mixture for its region: without the terms that a region of 95 % would not reach (together one per cent),
/// and with those joined into one Gaussian, by their moments, that differ elsewhere on the line and hardly here.
PointMixture condensed(const PointMixture& mixture) {
  std::vector<PointMixture> groups;
  double kept = 0;
  for (const PointMixture::Term& term : mixture.terms) {
    if (kept > 0.99) break;
    kept += term.weight;
    const auto alike = std::find_if(groups.begin(), groups.end(),
                                    [&](const PointMixture& g) { return nearly_alike(g.terms.front(), term); });
    if (alike == groups.end())
      groups.push_back({{term}});
    else
      alike->terms.push_back(term);
  }
  PointMixture out;
  for (PointMixture& group : groups) {
    PointMixture::Term joined;
    for (const PointMixture::Term& term : group.terms) joined.weight += term.weight;
    for (PointMixture::Term& term : group.terms) term.weight /= joined.weight;
    joined.mean = group.mean();
    joined.covariance = group.covariance();
    joined.weight /= kept;
    out.terms.push_back(joined);
  }
  std::stable_sort(out.terms.begin(), out.terms.end(),
                   [](const auto& a, const auto& b) { return a.weight > b.weight; });
  return out;
}

/// The entry in words, a bend with the hand that the readings give it where they contradict the one written.
std::string described(const Posterior& posterior, std::size_t run, LogItem item, bool first, LengthUnit unit) {
  const bool wrong =
      item.bend && item.bend->hand &&
      std::any_of(posterior.explanations.begin(), posterior.explanations.end(), [&](const Explanation& e) {
        return e.what == MistakeKind::wrong_hand && e.run == run && std::abs(e.at - item.at) < 1e-6 &&
               e.probability > 0.5;
      });
  if (!wrong) return words_of(item, first, unit);
  const std::string written = std::string(spelled(*item.bend->hand));
  item.bend->hand = opposite(*item.bend->hand);
  return words_of(item, first, unit) + " (written as " + written + ")";
}

}  // namespace

std::vector<ItemFinding> find_items(const Sampling& sampling, const Limits& limits) {
  const Placed& placed = sampling.placed();
  std::vector<ItemFinding> out;
  for (std::size_t r = 0; r < placed.runs.size(); ++r) {
    const Run& run = placed.runs[r];
    if (sampling.draws() == 0 || sampling.posterior().draws[0].lines[run.line].vertices.size() < 2) continue;
    for (std::size_t i = 0; i < run.log.size(); ++i) {
      const LogItem& logged = run.log[i];
      ItemFinding item;
      item.run = r;
      item.log = i;
      item.at = logged.at;
      item.line = run.line;
      item.what = described(sampling.posterior(), r, logged, i == 0, placed.unit);
      item.act = logged.act;
      const Sample sample = sampling.at_counter(r, logged.at, Sight::seen);
      const PointMixture mixture = sampling.mixture_at(r, logged.at, Sight::seen, sample);
      const Eigen::Vector3d mean = mixture.mean();
      item.station = {mean_of(sample.stations)};
      item.station95 = interval95(sample.stations);
      item.position = {mean.x(), mean.y(), mean.z()};
      item.ellipse95 = error_ellipse(mixture.covariance().topLeftCorner<2, 2>(), 0.95);
      item.region95 = highest_density_region(condensed(mixture), 0.95);
      const auto depths = sampling.depths(sample);
      item.depth = mean_of(depths);
      item.depth95 = interval95(depths);
      if (limits.known()) {
        std::size_t on_private = 0;
        for (std::size_t d = 0; d < sampling.draws(); ++d)
          on_private += limits.is_private(run.line, d, sample.stations[d]) ? 1 : 0;
        item.private_probability = static_cast<double>(on_private) / static_cast<double>(sampling.draws());
      }
      constexpr double beside = 0.6;  // metres: a step
      item.marked = marks_near(sampling, item, beside);
      out.push_back(std::move(item));
    }
  }
  return out;
}

}  // namespace swingtie
