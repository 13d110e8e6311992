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
    const double sigma = sigma_for(state.model, state.assumptions);
    const double heading = state.assumptions.attitudes[locate_].heading;
    const Eigen::Vector2d along(std::sin(heading), std::cos(heading)), right(along.y(), -along.x());
    const Stray a = stray(locate, along, locate.stray_along, pipe);
    const Stray w = stray(locate, right, locate.stray_across, pipe);
    const TooDeep factor = too_deep(a.square, w.square);
    const double turned = kind_ == DepthKind::across ? prior::depth_across_too_deep : 1;
    residuals[row] = (turned * depth + factor.share * depth_ + state.x[locate.blunder + 2] - depth_) / sigma;
    if (!jacobian) return;
    const auto point = state.rows(locate.sighting);
    const Eigen::Vector2d by_plan = turned * ground_slope(state.model, pipe) +
                                    depth_ * (factor.by_along * a.slope * along + factor.by_across * w.slope * right);
    jacobian->row(row) = (by_plan.x() * point.row(0) + by_plan.y() * point.row(1) - turned * point.row(2)) / sigma;
    (*jacobian)(row, locate.blunder + 2) = 1 / sigma;
  }

  double log_sigma(const Model& model, const Assumptions& assumptions) const override {
    return std::log(sigma_for(model, assumptions));
  }

 private:
  /// Square of how far off the point over the sonde the receiver stood, in depths, as its locate's offset from the
  /// route suggests: part of that offset is the receiver's, part the error of the position.
  struct Stray {
    double square = 0;
    double slope = 0;  ///< derivative by the pipe's shift in that direction
  };
  Stray stray(const ModelLocate& locate, const Eigen::Vector2d& toward, double sigma,
              const Eigen::Vector3d& pipe) const {
    const double own = sigma * sigma, position = toward.dot(locate.position * toward);
    const double rest =
        (locate.whole ? std::max(position - own, 0.0) : position) + prior::receiver_mark * prior::receiver_mark;
    const double share = own / (own + rest);
    const double off = share * toward.dot(Eigen::Vector2d(locate.at.e, locate.at.n) - pipe.head<2>()) / depth_;
    const double square = off * off + (1 - share) * own / (depth_ * depth_);
    constexpr double most = 0.25;  // half a depth off: beyond it the operator would have noticed
    if (square > most) return {most, 0};
    return {square, -2 * off * share / depth_};
  }

  /// By what share of the depth a reading comes out too deep, and the derivatives by the two squares.
  struct TooDeep {
    double share = 0, by_along = 0, by_across = 0;
  };
  TooDeep too_deep(double along, double across) const {
    switch (kind_) {
      // A calibrated reading of the axial component (2u^2 - 1 - w^2)/(1 + u^2 + w^2)^2.5, its cube root taken: F1,
      // F4.
      case DepthKind::along:
        return {1.5 * along + 2 * along * along + 0.5 * across, 1.5 + 4 * along, 0.5};
      case DepthKind::ratio:
        return {0.9 * across, 0, 0.9};  // F5; along the pipe the total field is flat (F9)
      case DepthKind::across:
      case DepthKind::nulls:
        break;
    }
    return {};
  }

  double sigma_for(const Model& model, const Assumptions& assumptions) const {
    const Attitude& attitude = assumptions.attitudes[locate_];
    const ModelLocate& locate = model.locates[locate_];
    if (kind_ == DepthKind::ratio) return sigma_;
    // F7: the nulls of a tilted coil are sqrt(1 + 9 t^2 / 8) times as far apart.
    if (kind_ == DepthKind::nulls)
      return std::hypot(sigma_, (std::sqrt(1 + 9 * attitude.tilt * attitude.tilt / 8) - 1) * depth_);
    // Between a reading along the pipe and one across it, which sees nothing but false nulls, by the square of the
    // sine, like the signal's power.
    double across = kind_ == DepthKind::across ? 1 : 0;
    if (receiver_) {
      const double s = std::sin(*receiver_ - attitude.heading);
      across = kind_ == DepthKind::across ? 1 - s * s : s * s;
    }
    // What the stray along the pipe leaves open after its share is taken from the residual.
    const double v = locate.stray_along * locate.stray_along / (depth_ * depth_);
    const double open = kind_ == DepthKind::along ? 1.5 * std::sqrt(2.0) * std::min(v, 0.1) : 0;
    return std::hypot(
        sigma_, std::hypot((prior::depth_across - prior::depth_along) * across, open + 0.3 * attitude.tilt) * depth_);
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
