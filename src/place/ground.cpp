#include "place/ground.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Cholesky>

#include "place/standard_errors.hpp"

namespace swingtie {
namespace {

class FlatGround : public GroundSurface {
 public:
  FlatGround(double height, bool known) : height_(height), known_(known) {}
  double height(PlanPoint) const override { return height_; }
  double sigma(PlanPoint) const override { return standard_errors::ground_relief; }
  bool has_elevations() const override { return known_; }

 private:
  double height_;
  bool known_;
};

class SpotGround : public GroundSurface {
 public:
  explicit SpotGround(const std::vector<GroundHeight>& spots) : spots_(spots) {
    for (const GroundHeight& spot : spots) {
      middle_ = middle_ + (1.0 / static_cast<double>(spots.size())) * (spot.at - PlanPoint{});
      mean_ += spot.height / static_cast<double>(spots.size());
    }
    const auto n = static_cast<Eigen::Index>(spots.size());
    Eigen::MatrixXd k(n, n);
    Eigen::VectorXd y(n);
    for (Eigen::Index i = 0; i < n; ++i) {
      y[i] = spot(i).height - mean_;
      for (Eigen::Index j = 0; j < n; ++j) k(i, j) = kernel(spot(i).at, spot(j).at);
      k(i, i) += standard_errors::ground_elevation * standard_errors::ground_elevation;
    }
    factor_.compute(k);
    weights_ = factor_.solve(y);
    // What the level and the slope add up to is the same for every point that is asked for.
    for (Eigen::Index i = 0; i < n; ++i) {
      level_ += level * level * weights_[i];
      slope_ = slope_ + slope * slope * weights_[i] * (spot(i).at - middle_);
    }
  }

  double height(PlanPoint at) const override {
    double relief = 0;
    for (Eigen::Index i = 0; i < weights_.size(); ++i) relief += weights_[i] * likeness(at, spot(i).at);
    return mean_ + level_ + dot(at - middle_, slope_) + relief;
  }
  double sigma(PlanPoint at) const override {
    const Eigen::VectorXd k = to_spots(at);
    return std::sqrt(std::max(kernel(at, at) - k.dot(factor_.solve(k)), 0.0));
  }
  bool has_elevations() const override { return true; }

 private:
  const GroundHeight& spot(Eigen::Index i) const { return spots_[static_cast<std::size_t>(i)]; }

  static constexpr double level = 10;
  static constexpr double slope = 2 * standard_errors::ground_slope;

  /// Covariance of the heights at two places: an unknown level, an unknown slope, and relief that is alike nearby.
  double kernel(PlanPoint a, PlanPoint b) const {
    return level * level + slope * slope * dot(a - middle_, b - middle_) + likeness(a, b);
  }
  static double likeness(PlanPoint a, PlanPoint b) {
    constexpr double relief = standard_errors::ground_relief;
    return relief * relief * std::exp(-distance(a, b) / standard_errors::ground_relief_range);
  }

  Eigen::VectorXd to_spots(PlanPoint at) const {
    Eigen::VectorXd k(static_cast<Eigen::Index>(spots_.size()));
    for (Eigen::Index i = 0; i < k.size(); ++i) k[i] = kernel(at, spot(i).at);
    return k;
  }

  std::vector<GroundHeight> spots_;
  PlanPoint middle_;
  double mean_ = 0;
  Eigen::LLT<Eigen::MatrixXd> factor_;
  Eigen::VectorXd weights_;
  double level_ = 0;
  PlanVector slope_;
};

class RasterGround : public GroundSurface {
 public:
  explicit RasterGround(HeightRaster raster) : raster_(std::move(raster)) {
    const PlanVector c = raster_.per_column, r = raster_.per_row;
    determinant_ = c.de * r.dn - c.dn * r.de;
  }

  double height(PlanPoint at) const override { return sample(at).height; }
  double sigma(PlanPoint at) const override {
    const double away = sample(at).away;
    return std::hypot(standard_errors::elevation_model, standard_errors::ground_slope * away);
  }
  bool has_elevations() const override { return true; }

 private:
  struct Sample {
    double height = 0;
    double away = 0;  ///< metres to the nearest data
  };

  float cell(std::size_t column, std::size_t row) const { return raster_.heights[row * raster_.columns + column]; }

  Sample sample(PlanPoint at) const {
    const PlanVector v = at - raster_.first;
    const PlanVector c = raster_.per_column, r = raster_.per_row;
    const double x = (v.de * r.dn - v.dn * r.de) / determinant_, y = (v.dn * c.de - v.de * c.dn) / determinant_;
    const double last_x = static_cast<double>(raster_.columns - 1), last_y = static_cast<double>(raster_.rows - 1);
    if (x >= 0 && y >= 0 && x <= last_x && y <= last_y) {
      const auto i = static_cast<std::size_t>(std::min(std::floor(x), std::max(last_x - 1, 0.0)));
      const auto j = static_cast<std::size_t>(std::min(std::floor(y), std::max(last_y - 1, 0.0)));
      const std::size_t i2 = std::min(i + 1, raster_.columns - 1), j2 = std::min(j + 1, raster_.rows - 1);
      const double fx = x - static_cast<double>(i), fy = y - static_cast<double>(j);
      const double h =
          (1 - fy) * ((1 - fx) * cell(i, j) + fx * cell(i2, j)) + fy * ((1 - fx) * cell(i, j2) + fx * cell(i2, j2));
      if (std::isfinite(h)) return {h, 0};
    }
    return nearest(x, y);
  }

  Sample nearest(double x, double y) const {
    Sample best{0, std::numeric_limits<double>::infinity()};
    for (std::size_t j = 0; j < raster_.rows; ++j) {
      for (std::size_t i = 0; i < raster_.columns; ++i) {
        if (!std::isfinite(cell(i, j))) continue;
        const PlanVector off =
            (x - static_cast<double>(i)) * raster_.per_column + (y - static_cast<double>(j)) * raster_.per_row;
        if (length(off) < best.away) best = {cell(i, j), length(off)};
      }
    }
    return best;
  }

  HeightRaster raster_;
  double determinant_ = 0;
};

}  // namespace

std::shared_ptr<const GroundSurface> flat_ground(double height, bool known) {
  return std::make_shared<FlatGround>(height, known);
}

std::shared_ptr<const GroundSurface> ground_through(const std::vector<GroundHeight>& spots) {
  return std::make_shared<SpotGround>(spots);
}

std::shared_ptr<const GroundSurface> ground_from(HeightRaster raster) {
  return std::make_shared<RasterGround>(std::move(raster));
}

}  // namespace swingtie
