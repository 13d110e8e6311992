#include "route/observations/observations.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

class SameBend : public Observation {
 public:
  SameBend(std::size_t bend, const Sighting& other) : bend_(bend), other_(other) {}

  Eigen::Index rows() const override { return 1; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const ModelBend& bend = state.model.bends[bend_];
    Chain::Motion first, second;
    const double a = state.along(first, {bend.run, bend.reading, Sight::seen, bend.shift});
    const double b = state.along(second, other_);
    residuals[row] = (a - b) / prior::counter_reading;
    if (!jacobian) return;
    for (int t = 0; t < first.terms; ++t)
      (*jacobian)(row, first.column[t]) += first.per_unit[t] / prior::counter_reading;
    for (int t = 0; t < second.terms; ++t)
      (*jacobian)(row, second.column[t]) -= second.per_unit[t] / prior::counter_reading;
  }

 private:
  std::size_t bend_;
  Sighting other_;
};

class Grade : public Observation {
 public:
  Grade(std::size_t line, double at, double pitch, double sigma)
      : line_(line), at_(at), pitch_(pitch), sigma_(sigma) {}

  Eigen::Index rows() const override { return 1; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    residuals[row] = (state.chains[line_].point(at_).pitch - pitch_) / sigma_;
    if (jacobian) state.chains[line_].add_pitch_derivatives(at_, 1 / sigma_, jacobian->row(row));
  }

 private:
  std::size_t line_;
  double at_, pitch_, sigma_;
};

}  // namespace

std::unique_ptr<Observation> observe_same_bend(std::size_t bend, const Sighting& other) {
  return std::make_unique<SameBend>(bend, other);
}

std::unique_ptr<Observation> observe_grade(std::size_t line, double at, double pitch, double sigma) {
  return std::make_unique<Grade>(line, at, pitch, sigma);
}

}  // namespace swingtie
