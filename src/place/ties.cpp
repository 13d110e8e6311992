#include "place/ties.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <Eigen/LU>

namespace swingtie {
namespace {

/// Two places are told apart when the ties prefer one by less than this in chi-square (odds of 90 to 1).
constexpr double clear_preference = 9.0;

/// The errors of all ties along their own directions: row i is how distance i, as seen from the point, is wrong
/// per source.
struct SourceTable {
  std::vector<ErrorSource> ids;
  Eigen::MatrixXd rows;
};

class Network {
 public:
  Network(const std::vector<TapedTie>& ties, ErrorSources& sources) : ties_(ties) {
    std::map<ErrorSource, Eigen::Index> column;
    for (const TapedTie& tie : ties) {
      for (const Sensitivity& s : tie.from.errors) column.try_emplace(s.source, 0);
    }
    for (auto& [id, index] : column) {
      index = static_cast<Eigen::Index>(table_.ids.size());
      table_.ids.push_back(id);
    }
    shared_ = static_cast<Eigen::Index>(table_.ids.size());
    for (std::size_t i = 0; i < ties.size(); ++i) table_.ids.push_back(sources.fresh());
  }

  Eigen::Index size() const { return static_cast<Eigen::Index>(ties_.size()); }
  const std::vector<ErrorSource>& ids() const { return table_.ids; }

  /// Unit vectors from each tie's origin to the point, one per row.
  Eigen::MatrixX2d directions(PlanPoint at) const {
    Eigen::MatrixX2d a(size(), 2);
    for (Eigen::Index i = 0; i < size(); ++i) {
      const PlanVector v = at - tie(i).from.at;
      const double r = std::max(length(v), 1e-9);
      a.row(i) << v.de / r, v.dn / r;
    }
    return a;
  }

  Eigen::MatrixXd errors_along(const Eigen::MatrixX2d& directions) const {
    Eigen::MatrixXd s = Eigen::MatrixXd::Zero(size(), static_cast<Eigen::Index>(ids().size()));
    for (Eigen::Index i = 0; i < size(); ++i) {
      for (Eigen::Index k = 0; k < shared_; ++k) {
        const PlanVector m = moved_by(tie(i).from, ids()[static_cast<std::size_t>(k)]);
        s(i, k) = directions(i, 0) * m.de + directions(i, 1) * m.dn;
      }
      s(i, shared_ + i) = tie(i).sigma;
    }
    return s;
  }

  Eigen::VectorXd misfit(PlanPoint at) const {
    Eigen::VectorXd r(size());
    for (Eigen::Index i = 0; i < size(); ++i) r[i] = tie(i).distance - distance(at, tie(i).from.at);
    return r;
  }

  /// What a `within` of the tied points covers moves the point as it moves them on average.
  std::vector<Sensitivity> covered() const {
    UncertainPoint mean;
    const double share = 1.0 / static_cast<double>(ties_.size());
    for (const TapedTie& tie : ties_)
      add_errors_of(mean, {{}, {}, tie.from.covered}, share * Eigen::Matrix2d::Identity());
    return mean.covered;
  }

  const TapedTie& tie(Eigen::Index i) const { return ties_[static_cast<std::size_t>(i)]; }

 private:
  const std::vector<TapedTie>& ties_;
  SourceTable table_;
  Eigen::Index shared_ = 0;
};

UncertainPoint with_errors(const Network& network, PlanPoint at, const Eigen::Matrix2Xd& moves) {
  UncertainPoint point{at, {}, network.covered()};
  const std::vector<ErrorSource>& ids = network.ids();
  for (std::size_t k = 0; k < ids.size(); ++k) {
    const auto column = static_cast<Eigen::Index>(k);
    add_error(point, ids[k], {moves(0, column), moves(1, column)});
  }
  return point;
}

struct Adjusted {
  PlanPoint at;
  double chi_square = 0;
  bool converged = false;
};

/// Gauss-Newton with a damping that only acts where the ties lie nearly in line.
Adjusted adjust_from(const Network& network, PlanPoint start) {
  Adjusted best{start, 0, false};
  auto cost = [&](PlanPoint at, Eigen::Matrix2d* normal, Eigen::Vector2d* gradient) {
    const Eigen::MatrixX2d a = network.directions(at);
    const Eigen::MatrixXd s = network.errors_along(a);
    const Eigen::LLT<Eigen::MatrixXd> weight(s * s.transpose());
    const Eigen::VectorXd r = network.misfit(at);
    const Eigen::VectorXd white = weight.matrixL().solve(r);
    if (normal != nullptr) {
      const Eigen::MatrixX2d white_a = weight.matrixL().solve(a);
      *normal = white_a.transpose() * white_a;
      *gradient = white_a.transpose() * white;
    }
    return white.squaredNorm();
  };
  // Steps below what the coordinates can hold (1 nm at a northing of 7000 km) are rounding.
  const double settled = 1e-10 + 1e-15 * (std::abs(start.e) + std::abs(start.n));
  double damping = 1e-9;
  for (int i = 0; i < 100; ++i) {
    Eigen::Matrix2d normal;
    Eigen::Vector2d gradient;
    best.chi_square = cost(best.at, &normal, &gradient);
    const Eigen::Matrix2d damped = normal + damping * normal.trace() * Eigen::Matrix2d::Identity();
    const Eigen::Vector2d step = damped.ldlt().solve(gradient);
    if (step.norm() < settled) {
      best.converged = true;
      break;
    }
    const PlanPoint next = best.at + PlanVector{step.x(), step.y()};
    if (cost(next, nullptr, nullptr) <= best.chi_square + 1e-12) {
      best.at = next;
      damping = std::max(damping * 0.1, 1e-12);
    } else if (damping > 1e6) {
      break;
    } else {
      damping = std::max(damping * 10, 1e-6);
    }
  }
  return best;
}

TieSolution solution_at(const Network& network, PlanPoint at) {
  const Eigen::MatrixX2d a = network.directions(at);
  const Eigen::MatrixXd s = network.errors_along(a);
  const Eigen::MatrixXd variance = s * s.transpose();
  const Eigen::LLT<Eigen::MatrixXd> weight(variance);
  const Eigen::Matrix2d normal = a.transpose() * weight.solve(a);
  const Eigen::Matrix2d inverse = normal.inverse();
  const Eigen::Matrix2Xd moves = inverse * a.transpose() * weight.solve(s);
  const Eigen::VectorXd r = network.misfit(at);

  TieSolution solution{with_errors(network, at, moves), r.dot(weight.solve(r)), {}, {}};
  // Residual covariance of a least-squares fit: the observations' less the fitted part.
  const Eigen::MatrixXd residual_variance = variance - a * inverse * a.transpose();
  for (Eigen::Index i = 0; i < network.size(); ++i) {
    solution.residuals.push_back(r[i]);
    const double v = residual_variance(i, i);
    solution.normalised.push_back(v > 1e-9 * variance(i, i) ? r[i] / std::sqrt(v) : 0.0);
  }
  return solution;
}

/// Largest standard error of a point in any direction, squared.
double largest_variance(const UncertainPoint& point) {
  const PlanCovariance c = covariance(point);
  const double mean = 0.5 * (c(0, 0) + c(1, 1));
  return mean + std::hypot(0.5 * (c(0, 0) - c(1, 1)), c(0, 1));
}

TieFix fix_by_two(const Network& network) {
  const TapedTie& first = network.tie(0);
  const TapedTie& second = network.tie(1);
  const PlanPoint a = first.from.at;
  const PlanVector base = second.from.at - a;
  const double d = length(base);
  const PlanVector along = (1 / d) * base;

  TieFix fix;
  const CircleCrossing crossing =
      cross_circles(a, first.distance, first.sigma, second.from.at, second.distance, second.sigma);
  fix.gap = crossing.gap;

  for (const bool to_right : {true, false}) {
    const PlanPoint at = to_right ? crossing.right : crossing.left;
    const PlanVector across = to_right ? right_of(along) : -right_of(along);
    const PlanVector from_a = at - a;
    const double foot = dot(from_a, along);
    const double h = std::max(dot(from_a, across), 0.0);
    const Eigen::MatrixXd s = network.errors_along(network.directions(at));
    // Differentiating (foot^2 + h^2 = r1^2, (foot - d)^2 + h^2 = r2^2): h dh = r1 dr1 - foot dfoot.
    const double r1 = distance(at, a), r2 = distance(at, second.from.at);
    const Eigen::RowVectorXd foot_moves = (r1 * s.row(0) - r2 * s.row(1)) / d;
    const Eigen::RowVectorXd h_dh = r1 * s.row(0) - foot * foot_moves;
    // The standard error of h itself: of h^2 over 2h far from the base, its root on the base.
    const double h_effective = std::sqrt(h * h + 0.5 * h_dh.norm());
    const Eigen::RowVectorXd h_moves = h_dh / std::max(h_effective, 1e-9);
    Eigen::Matrix2Xd moves(2, foot_moves.size());
    moves.row(0) = along.de * foot_moves + across.de * h_moves;
    moves.row(1) = along.dn * foot_moves + across.dn * h_moves;
    fix.solutions.push_back({with_errors(network, at, moves), 0, {0, 0}, {0, 0}});
    if (crossing.gap > 0) {
      const bool beyond = d > first.distance + second.distance;
      fix.gap_sigma = beyond ? (s.row(0) + s.row(1)).norm() : (s.row(0) - s.row(1)).norm();
      break;
    }
    // On the base itself the two places are one, within what the tape can tell.
    if (h < h_moves.norm()) {
      fix.solutions.front().point.at = a + foot * along;
      break;
    }
  }
  return fix;
}

}  // namespace

CircleCrossing cross_circles(PlanPoint a, double radius_a, double sigma_a, PlanPoint b, double radius_b,
                             double sigma_b) {
  const double d = distance(a, b);
  const PlanVector along = (1 / d) * (b - a);
  CircleCrossing crossing;
  if (d > radius_a + radius_b) {
    crossing.gap = d - radius_a - radius_b;
    const double share = sigma_a * sigma_a / (sigma_a * sigma_a + sigma_b * sigma_b);
    crossing.right = crossing.left = a + (radius_a + share * crossing.gap) * along;
    return crossing;
  }
  if (d < std::abs(radius_a - radius_b)) {
    crossing.gap = std::abs(radius_a - radius_b) - d;
    const double share = sigma_a * sigma_a / (sigma_a * sigma_a + sigma_b * sigma_b);
    // One circle holds the other: the point lies beyond the smaller circle's centre, as seen from the larger's.
    const double from_a = radius_a > radius_b ? radius_a - share * crossing.gap : -(radius_a + share * crossing.gap);
    crossing.right = crossing.left = a + from_a * along;
    return crossing;
  }
  const double foot = (radius_a * radius_a - radius_b * radius_b + d * d) / (2 * d);
  const double h = std::sqrt(std::max(radius_a * radius_a - foot * foot, 0.0));
  crossing.right = a + foot * along + h * right_of(along);
  crossing.left = a + foot * along - h * right_of(along);
  return crossing;
}

TieFix fix_by_ties(const std::vector<TapedTie>& ties, ErrorSources& sources) {
  const Network network(ties, sources);
  if (ties.size() == 2) return fix_by_two(network);

  std::vector<Adjusted> minima;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    for (std::size_t j = i + 1; j < ties.size(); ++j) {
      const CircleCrossing crossing = cross_circles(ties[i].from.at, ties[i].distance, ties[i].sigma, ties[j].from.at,
                                                    ties[j].distance, ties[j].sigma);
      for (const PlanPoint start : {crossing.right, crossing.left}) {
        const Adjusted found = adjust_from(network, start);
        if (found.converged) minima.push_back(found);
      }
    }
  }
  std::sort(minima.begin(), minima.end(), [](const Adjusted& a, const Adjusted& b) {
    return std::tie(a.chi_square, a.at.e, a.at.n) < std::tie(b.chi_square, b.at.e, b.at.n);
  });
  TieFix fix;
  if (minima.empty()) return fix;
  fix.solutions.push_back(solution_at(network, minima.front().at));
  const double reach = 2 * std::sqrt(largest_variance(fix.solutions.front().point));
  for (const Adjusted& other : minima) {
    const bool as_good = other.chi_square - minima.front().chi_square < clear_preference;
    if (as_good && distance(other.at, minima.front().at) > reach) {
      fix.solutions.push_back(solution_at(network, other.at));
      break;
    }
  }
  return fix;
}

}  // namespace swingtie
