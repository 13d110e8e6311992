#include <algorithm>
#include <cmath>

#include "route/observations/observations.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

class Depth : public Observation {
 public:
  Depth(std::size_t locate, DepthKind kind, double depth, double sigma, std::optional<double> receiver)
      : locate_(locate), kind_(kind), depth_(depth), sigma_(sigma), receiver_(receiver) {}

  Eigen::Index rows() const override { return 1; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const ModelLocate& locate = state.model.locates[locate_];
    const Eigen::Vector3d pipe = state.sightings[locate.sighting].point.at;
    const double depth = state.model.height(pipe.x(), pipe.y()) - pipe.z();
    const double sigma = sigma_for(state.assumptions);
    // Read off to the side by w depths, a depth comes out too deep by about 0.9 w^2 (dipole field, F5: within 0.01
    // up to w = 1). The locate lies off the pipe because the receiver stood there and because its position is not
    // exact; only the receiver's share of it counts. Across is the frame's.
    const double frame = state.assumptions.frames[locate_];
    const Eigen::Vector2d right(std::cos(frame), -std::sin(frame));
    const double receiver = locate.across * locate.across;
    const double share = receiver > 0 ? receiver / (receiver + right.dot(locate.position * right)) : 0;
    const double off = share * right.dot(Eigen::Vector2d(locate.at.e, locate.at.n) - pipe.head<2>());
    const double w = kind_ == DepthKind::nulls ? 0 : std::clamp(off / depth_, -1.0, 1.0);
    const double too_deep = 0.9 * w * w * depth_;
    residuals[row] = (depth + too_deep + state.x[locate.blunder + 2] - depth_) / sigma;
    if (!jacobian) return;
    const auto point = state.rows(locate.sighting);
    const Eigen::Vector2d slope = ground_slope(state.model, pipe);
    const double lean =
        std::abs(w) < 1 ? -1.8 * w * share : 0;  // derivative of too_deep by the pipe's shift to the right
    const Eigen::Vector2d by_plan = slope + lean * right;
    jacobian->row(row) = (by_plan.x() * point.row(0) + by_plan.y() * point.row(1) - point.row(2)) / sigma;
    (*jacobian)(row, locate.blunder + 2) = 1 / sigma;
  }

  double log_sigma(const Model&, const Assumptions& assumptions) const override {
    return std::log(sigma_for(assumptions));
  }

 private:
  double sigma_for(const Assumptions& assumptions) const {
    if (kind_ == DepthKind::nulls || kind_ == DepthKind::ratio) return sigma_;
    // Between a reading along the pipe and one across it, which sees nothing but false nulls, by the square of the
    // sine, like the signal's power.
    double across = kind_ == DepthKind::across ? 1 : 0;
    if (receiver_) {
      const double s = std::sin(*receiver_ - assumptions.frames[locate_]);
      across = kind_ == DepthKind::across ? 1 - s * s : s * s;
    }
    return std::hypot(sigma_, (prior::depth_across - prior::depth_along) * across * depth_);
  }

  static Eigen::Vector2d ground_slope(const Model& model, const Eigen::Vector3d& at) {
    constexpr double step = 0.25;
    return {(model.height(at.x() + step, at.y()) - model.height(at.x() - step, at.y())) / (2 * step),
            (model.height(at.x(), at.y() + step) - model.height(at.x(), at.y() - step)) / (2 * step)};
  }

  std::size_t locate_;
  DepthKind kind_;
  double depth_, sigma_;
  std::optional<double> receiver_;
};

}  // namespace

std::unique_ptr<Observation> observe_depth(std::size_t model_locate, DepthKind kind, double depth, double sigma,
                                           std::optional<double> receiver) {
  return std::make_unique<Depth>(model_locate, kind, depth, sigma, receiver);
}

}  // namespace swingtie
