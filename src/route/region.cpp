#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

#include "measure/bearing.hpp"
#include "route/posterior.hpp"

namespace swingtie {
namespace {

/// A Gaussian of the mixture on the plan, ready to be evaluated.
struct Bump {
  Eigen::Vector2d mean;
  Eigen::Matrix2d factor;   ///< covariance = factor factor'
  Eigen::Matrix2d inverse;  ///< of the factor
  double weight = 0;
  double height = 0;  ///< density at the mean, weight included
  double minor = 0;   ///< smaller standard deviation
};

std::vector<Bump> bumps(const PointMixture& point) {
  std::vector<Bump> result;
  double sum = 0;
  for (const PointMixture::Term& term : point.terms) {
    if (term.weight < 1e-4) continue;
    // A direction without error keeps a millimetre, so that there is a density to compare.
    const Eigen::Matrix2d c = term.covariance.topLeftCorner<2, 2>() + Eigen::Matrix2d::Identity() * 1e-6;
    Bump b;
    b.mean = term.mean.head<2>();
    b.factor = c.llt().matrixL();
    b.inverse = b.factor.inverse();
    b.weight = term.weight;
    const double half_trace = c.trace() / 2;
    b.minor = std::sqrt(half_trace - std::sqrt(std::max(half_trace * half_trace - c.determinant(), 0.0)));
    sum += b.weight;
    result.push_back(b);
  }
  for (Bump& b : result) {
    b.weight /= sum;
    b.height = b.weight / (2 * pi * b.factor.determinant());
  }
  return result;
}

double density(const std::vector<Bump>& mixture, const Eigen::Vector2d& p) {
  double sum = 0;
  for (const Bump& b : mixture) {
    const double square = (b.inverse * (p - b.mean)).squaredNorm();
    if (square < 50) sum += b.height * std::exp(-square / 2);
  }
  return sum;
}

/// With these the share that is left out is met to 0.002 (root mean square over invented mixtures of up to 8).
constexpr int level_points = 1500;

/// Directions that turn on by the golden angle.
const std::vector<Eigen::Vector2d>& sunflower() {
  static const std::vector<Eigen::Vector2d> directions = [] {
    const double golden = pi * (3 - std::sqrt(5.0));
    std::vector<Eigen::Vector2d> all;
    for (int i = 0; i <= level_points; ++i) all.emplace_back(std::cos(i * golden), std::sin(i * golden));
    return all;
  }();
  return directions;
}

/// The density that the stated share of the mixture exceeds: a quantile over an even, deterministic sample of it
/// (each Gaussian a sunflower of points at equal steps of probability).
double level(const std::vector<Bump>& mixture, double probability) {
  std::vector<std::pair<double, double>> samples;  // density, mass
  samples.reserve(level_points + 24 * mixture.size());
  for (const Bump& b : mixture) {
    const int count = std::max(24, static_cast<int>(level_points * b.weight));
    for (int i = 0; i < count; ++i) {
      const double r = std::sqrt(-2 * std::log1p(-(i + 0.5) / count));
      const Eigen::Vector2d p = b.mean + r * (b.factor * sunflower()[static_cast<std::size_t>(i)]);
      samples.emplace_back(density(mixture, p), b.weight / count);
    }
  }
  // The least dense are taken away until no more than the share is left: mostly few of them.
  std::make_heap(samples.begin(), samples.end(), std::greater<>());
  double spare = 1 - probability;
  while (samples.size() > 1 && (spare -= samples.front().second) >= 0) {
    std::pop_heap(samples.begin(), samples.end(), std::greater<>());
    samples.pop_back();
  }
  return samples.front().first;
}

Region ellipse(const Bump& b, double probability, double tolerance) {
  const double radius = std::sqrt(-2 * std::log1p(-probability));
  const double major = radius * std::sqrt((b.factor * b.factor.transpose()).trace());
  // A chord of a circle of radius R strays from it by R (1 - cos(step / 2)).
  const double step = 2 * std::acos(std::clamp(1 - tolerance / std::max(major, tolerance * 2), 0.0, 1.0));
  const int count = std::clamp(static_cast<int>(std::ceil(2 * pi / step)), 16, 180);
  std::vector<PlanPoint> ring;
  for (int i = 0; i < count; ++i) {
    const double angle = 2 * pi * i / count;
    const Eigen::Vector2d p = b.mean + radius * (b.factor * Eigen::Vector2d(std::cos(angle), std::sin(angle)));
    ring.push_back({p.x(), p.y()});
  }
  return {ring};
}

/// Marching squares: the closed curves on which the density equals the level, high ground to the left.
class Contour {
 public:
  Contour(const std::vector<Bump>& mixture, double level, double tolerance)
      : mixture_(mixture), level_(level), tolerance_(tolerance) {
    Eigen::Vector2d low = mixture.front().mean, high = low;
    double finest = std::numeric_limits<double>::infinity();
    for (const Bump& b : mixture) {
      if (b.height < level * 1e-3) continue;
      const Eigen::Vector2d reach = 4.5 * (b.factor * b.factor.transpose()).diagonal().cwiseSqrt();
      low = low.cwiseMin(b.mean - reach);
      high = high.cwiseMax(b.mean + reach);
      if (b.height > level) finest = std::min(finest, b.minor);
    }
    const double extent = (high - low).maxCoeff();
    step_ = std::clamp(finest, extent / 120, extent / 24);
    low_ = low - Eigen::Vector2d::Constant(step_);
    columns_ = static_cast<int>(std::ceil((high.x() - low_.x()) / step_)) + 2;
    rows_ = static_cast<int>(std::ceil((high.y() - low_.y()) / step_)) + 2;
    values_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
    for (int j = 0; j < rows_; ++j)
      for (int i = 0; i < columns_; ++i) values_[at(i, j)] = density(mixture, node(i, j)) - level;
  }

  Region trace() {
    for (int j = 0; j + 1 < rows_; ++j)
      for (int i = 0; i + 1 < columns_; ++i) cross(i, j);
    Region rings;
    while (!next_.empty()) {
      std::vector<PlanPoint> ring;
      const Edge first = next_.begin()->first;
      Edge edge = first;
      do {
        const auto link = next_.find(edge);
        if (link == next_.end()) break;
        const Eigen::Vector2d p = crossing(edge);
        ring.push_back({p.x(), p.y()});
        edge = link->second;
        next_.erase(link);
      } while (edge != first);
      if (ring.size() >= 3) rings.push_back(std::move(ring));
    }
    return rings;
  }

 private:
  /// A grid edge: from node (i, j) one to the right (along 0) or one up (along 1).
  struct Edge {
    int i, j, along;
    auto operator<=>(const Edge&) const = default;
  };

  std::size_t at(int i, int j) const {
    return static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
  }
  Eigen::Vector2d node(int i, int j) const { return low_ + step_ * Eigen::Vector2d(i, j); }

  /// Links the edges of one square, walking with the high ground on the left. At a saddle the middle decides.
  void cross(int i, int j) {
    const bool sw = values_[at(i, j)] > 0, se = values_[at(i + 1, j)] > 0;
    const bool ne = values_[at(i + 1, j + 1)] > 0, nw = values_[at(i, j + 1)] > 0;
    const Edge south{i, j, 0}, north{i, j + 1, 0}, west{i, j, 1}, east{i + 1, j, 1};
    const auto link = [&](Edge from, Edge to) { next_[from] = to; };
    switch ((sw ? 1 : 0) | (se ? 2 : 0) | (ne ? 4 : 0) | (nw ? 8 : 0)) {
      case 1:
        link(south, west);
        break;
      case 2:
        link(east, south);
        break;
      case 3:
        link(east, west);
        break;
      case 4:
        link(north, east);
        break;
      case 6:
        link(north, south);
        break;
      case 7:
        link(north, west);
        break;
      case 8:
        link(west, north);
        break;
      case 9:
        link(south, north);
        break;
      case 11:
        link(east, north);
        break;
      case 12:
        link(west, east);
        break;
      case 13:
        link(south, east);
        break;
      case 14:
        link(west, south);
        break;
      case 5:
      case 10: {
        const bool joined = density(mixture_, node(i, j) + Eigen::Vector2d::Constant(step_ / 2)) > level_;
        if (sw) {
          link(south, joined ? east : west);
          link(north, joined ? west : east);
        } else {
          link(west, joined ? south : north);
          link(east, joined ? north : south);
        }
        break;
      }
      default:
        break;
    }
  }

  Eigen::Vector2d crossing(const Edge& edge) const {
    Eigen::Vector2d a = node(edge.i, edge.j);
    Eigen::Vector2d b = edge.along == 0 ? node(edge.i + 1, edge.j) : node(edge.i, edge.j + 1);
    double va = values_[at(edge.i, edge.j)];
    while ((b - a).norm() > tolerance_ / 4) {
      const Eigen::Vector2d middle = (a + b) / 2;
      const double vm = density(mixture_, middle) - level_;
      if ((vm > 0) == (va > 0)) {
        a = middle;
        va = vm;
      } else {
        b = middle;
      }
    }
    return (a + b) / 2;
  }

  const std::vector<Bump>& mixture_;
  double level_, tolerance_;
  double step_ = 1;
  Eigen::Vector2d low_;
  int columns_ = 0, rows_ = 0;
  std::vector<double> values_;
  std::map<Edge, Edge> next_;
};

}  // namespace

Region highest_density_region(const PointMixture& point, double probability, double tolerance) {
  const std::vector<Bump> mixture = bumps(point);
  if (mixture.empty()) return {};
  if (mixture.size() == 1) return ellipse(mixture.front(), probability, tolerance);
  return Contour(mixture, level(mixture, probability), tolerance).trace();
}

}  // namespace swingtie
