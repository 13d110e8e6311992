#include <algorithm>
#include <cmath>

#include "route/observations/observations.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

/// The reading of the wye's counter moves it along the parent, which the same residual absorbs.
double along_sigma() {
  return std::hypot(prior::wye, prior::counter_reading);
}

class Wye : public Observation {
 public:
  Wye(const LineEndpoint& branch, const Sighting& wye) : branch_(branch), wye_(wye) {}

  Eigen::Index rows() const override { return 3; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const State::Seen end = state.endpoint(branch_), wye = state.see(wye_);
    residuals.segment<3>(row) = (end.point.at - wye.point.at) / along_sigma();
    if (!jacobian) return;
    JacobianMatrix at_end = JacobianMatrix::Zero(3, jacobian->cols()), at_wye = at_end;
    state.add_derivatives(end, at_end);
    state.add_derivatives(wye, at_wye);
    jacobian->middleRows<3>(row) = (at_end - at_wye) / along_sigma();
  }

 private:
  LineEndpoint branch_;
  Sighting wye_;
};

/// Nobody wrote the wye's counter down: the branch's end lies somewhere on the parent, at no distance across or up.
class Join : public Observation {
 public:
  Join(const LineEndpoint& branch, std::size_t parent) : branch_(branch), parent_(parent) {}

  Eigen::Index rows() const override { return 2; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const State::Seen end = state.endpoint(branch_);
    const Chain& parent = state.chains[parent_];
    const Foot foot = nearest(parent, end.point.at);
    const Chain::Point on = parent.point(foot.u);
    const Eigen::Vector3d right(std::cos(on.heading), -std::sin(on.heading), 0), up(0, 0, 1);
    const Eigen::Vector3d along(-right.y(), right.x(), 0), off = end.point.at - on.at;
    residuals[row] = right.dot(off) / prior::wye;
    residuals[row + 1] = up.dot(off) / prior::wye;
    if (!jacobian) return;
    JacobianMatrix at_end = JacobianMatrix::Zero(3, jacobian->cols()), at_foot = at_end;
    Eigen::RowVectorXd heading = Eigen::RowVectorXd::Zero(jacobian->cols());
    state.add_derivatives(end, at_end);
    parent.add_point_derivatives(foot.u, at_foot);
    parent.add_heading_derivatives(foot.u, 1, heading);
    const JacobianMatrix relative = at_end - at_foot;
    jacobian->row(row) = (right.transpose() * relative - along.dot(off) * heading) / prior::wye;
    jacobian->row(row + 1) = up.transpose() * relative / prior::wye;
    if (!foot.slides) return;
    // The foot slides along the parent, by what keeps the offset square to it, and rises or falls with its grade.
    const double level = std::max(along.dot(on.direction), 1e-6);
    jacobian->row(row + 1) -=
        on.direction.z() / level * (along.transpose() * relative + right.dot(off) * heading) / prior::wye;
  }

 private:
  struct Foot {
    double u = 0;
    bool slides = false;  ///< inside a piece, not at a corner between two
  };
  static Foot nearest(const Chain& chain, const Eigen::Vector3d& p) {
    double best = INFINITY;
    Foot foot;
    const auto& pieces = chain.pieces();
    for (std::size_t k = 0; k < pieces.size(); ++k) {
      const double high = k + 1 < pieces.size() ? pieces[k + 1].u : INFINITY;
      const double low = k == 0 ? -INFINITY : pieces[k].u;
      const Eigen::Vector2d along = pieces[k].direction.head<2>(), off = (p - pieces[k].at).head<2>();
      const double free = pieces[k].u + along.dot(off) / std::max(along.squaredNorm(), 1e-9);
      const double u = std::clamp(free, low, high);
      const double distance = (off - (u - pieces[k].u) * along).norm();
      if (distance < best) {
        best = distance;
        foot = {u, u == free};
      }
    }
    return foot;
  }

  LineEndpoint branch_;
  std::size_t parent_;
};

}  // namespace

std::unique_ptr<Observation> observe_wye(const LineEndpoint& branch_end, const Sighting& wye) {
  return std::make_unique<Wye>(branch_end, wye);
}

std::unique_ptr<Observation> observe_join(const LineEndpoint& branch_end, std::size_t parent) {
  return std::make_unique<Join>(branch_end, parent);
}

}  // namespace swingtie
