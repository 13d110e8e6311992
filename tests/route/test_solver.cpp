#include <Eigen/SVD>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <limits>

#include "reference/table.hpp"
#include "route/random.hpp"
#include "route/solver.hpp"

namespace swingtie {
namespace {

/// y = f(x; b) with unit weights and no prior.
class Regression : public LeastSquaresProblem {
 public:
  using Model = std::function<double(double x, const Eigen::VectorXd& b, Eigen::VectorXd& slope)>;
  Regression(const std::string& set, Model model) : model_(std::move(model)) {
    for (const auto& row : reference::table("nist.csv"))
      if (row.text("set") == set) {
        x_.push_back(row.number("x"));
        y_.push_back(row.number("y"));
      }
  }
  Eigen::Index readings() const override { return static_cast<Eigen::Index>(x_.size()); }
  void evaluate(const Eigen::VectorXd& b, Eigen::VectorXd& residuals, JacobianMatrix* jacobian) override {
    Eigen::VectorXd slope(b.size());
    for (std::size_t i = 0; i < x_.size(); ++i) {
      const Eigen::Index row = static_cast<Eigen::Index>(i);
      residuals[row] = model_(x_[i], b, slope) - y_[i];
      if (jacobian) jacobian->row(row) = slope.transpose();
    }
  }

 private:
  Model model_;
  std::vector<double> x_, y_;
};

struct Published {
  Eigen::VectorXd start[2], certified, deviation;
  double rss = 0, degrees_of_freedom = 0;
};

Published published(const std::string& set) {
  std::vector<reference::Row> rows;
  for (const auto& row : reference::table("nist-certified.csv"))
    if (row.text("set") == set) rows.push_back(row);
  const Eigen::Index n = static_cast<Eigen::Index>(rows.size());
  Published p;
  for (Eigen::VectorXd* v : {&p.start[0], &p.start[1], &p.certified, &p.deviation}) v->resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto& row = rows[static_cast<std::size_t>(i)];
    p.start[0][i] = row.number("start1");
    p.start[1][i] = row.number("start2");
    p.certified[i] = row.number("certified");
    p.deviation[i] = row.number("standard_deviation");
  }
  p.rss = rows.front().number("rss");
  p.degrees_of_freedom = rows.front().number("degrees_of_freedom");
  return p;
}

void check_against_nist(const std::string& set, const Regression::Model& model) {
  const Published p = published(set);
  for (const int start : {0, 1}) {
    INFO(set << " from start " << start + 1);
    Regression problem(set, model);
    const Prior free{Eigen::VectorXd::Zero(p.certified.size()),
                     Eigen::VectorXd::Constant(p.certified.size(), std::numeric_limits<double>::infinity())};
    SolverOptions options;
    options.max_steps = 3000;
    options.relative_decrease = 1e-16;
    const Minimum minimum = minimise(problem, free, p.start[start], options);
    const Eigen::MatrixXd covariance = Spread(minimum, free).covariance();
    const double variance_factor = minimum.sum_of_squares / p.degrees_of_freedom;
    CHECK(minimum.sum_of_squares == Approx(p.rss).epsilon(1e-8));
    for (Eigen::Index i = 0; i < p.certified.size(); ++i) {
      CHECK(minimum.x[i] == Approx(p.certified[i]).epsilon(1e-6));
      CHECK(std::sqrt(variance_factor * covariance(i, i)) == Approx(p.deviation[i]).epsilon(1e-5));
    }
  }
}

}  // namespace

// NIST/ITL Statistical Reference Datasets, Nonlinear Regression (itl.nist.gov/div898/strd/nls): certified parameters
// and standard deviations to 11 digits, from both official starts.
TEST_CASE(
    "the spread of the readings before they are seen is I + J P J', also where no reading depends on many unknowns") {
  // More unknowns than are taken at a time, the middle ones without any reading.
  constexpr Eigen::Index unknowns = 90;
  Random random(5);
  JacobianMatrix jacobian = JacobianMatrix::Zero(4, unknowns);
  Eigen::VectorXd variance(unknowns);
  for (Eigen::Index c = 0; c < unknowns; ++c) {
    variance[c] = 0.1 + random.uniform();
    if (c < 10 || c >= 80)
      for (Eigen::Index r = 0; r < jacobian.rows(); ++r) jacobian(r, c) = random.normal();
  }
  const Eigen::MatrixXd dense =
      Eigen::MatrixXd::Identity(4, 4) + jacobian * variance.asDiagonal() * jacobian.transpose();
  const Eigen::MatrixXd lower = innovation(jacobian, variance).triangularView<Eigen::Lower>();
  CHECK((lower - Eigen::MatrixXd(dense.triangularView<Eigen::Lower>())).norm() < 1e-12 * dense.norm());
  CHECK(innovation(JacobianMatrix::Zero(4, unknowns), variance).isIdentity());
}

TEST_CASE("the solver finds the parameters and standard deviations that NIST certifies") {
  SECTION("Misra1a, lower difficulty") {
    check_against_nist("Misra1a", [](double x, const Eigen::VectorXd& b, Eigen::VectorXd& slope) {
      const double decay = std::exp(-b[1] * x);
      slope << 1 - decay, b[0] * x * decay;
      return b[0] * (1 - decay);
    });
  }
  SECTION("MGH09, higher difficulty, with a second minimum at infinity") {
    check_against_nist("MGH09", [](double x, const Eigen::VectorXd& b, Eigen::VectorXd& slope) {
      const double above = x * x + x * b[1], below = x * x + x * b[2] + b[3];
      slope << above / below, b[0] * x / below, -b[0] * above * x / (below * below), -b[0] * above / (below * below);
      return b[0] * above / below;
    });
  }
  SECTION("Eckerle4, higher difficulty") {
    check_against_nist("Eckerle4", [](double x, const Eigen::VectorXd& b, Eigen::VectorXd& slope) {
      const double z = (x - b[2]) / b[1], bell = std::exp(-z * z / 2);
      slope << bell / b[1], b[0] / (b[1] * b[1]) * bell * (z * z - 1), b[0] / (b[1] * b[1]) * bell * z;
      return b[0] / b[1] * bell;
    });
  }
  SECTION("MGH10, higher difficulty, parameters from 1e-2 to 1e5") {
    check_against_nist("MGH10", [](double x, const Eigen::VectorXd& b, Eigen::VectorXd& slope) {
      const double y = b[0] * std::exp(b[1] / (x + b[2]));
      slope << y / b[0], y / (x + b[2]), -y * b[1] / ((x + b[2]) * (x + b[2]));
      return y;
    });
  }
}

namespace {

/// A problem with more unknowns than readings, mildly nonlinear.
class Wavy : public LeastSquaresProblem {
 public:
  Wavy(Eigen::Index readings, Eigen::Index unknowns) : mix_(readings, unknowns), read_(readings) {
    Random random(7);
    for (double& value : mix_.reshaped()) value = random.normal();
    for (double& value : read_) value = random.normal();
  }
  Eigen::Index readings() const override { return read_.size(); }
  void evaluate(const Eigen::VectorXd& x, Eigen::VectorXd& residuals, JacobianMatrix* jacobian) override {
    const Eigen::VectorXd y = mix_ * x;
    residuals = y.array() + 0.1 * y.array().sin() - read_.array();
    if (jacobian) *jacobian = (1 + 0.1 * y.array().cos()).matrix().asDiagonal() * mix_;
  }

 private:
  JacobianMatrix mix_;
  Eigen::VectorXd read_;
};

/// r = A x - b with sigma 1.
class Linear : public LeastSquaresProblem {
 public:
  Linear(Eigen::MatrixXd a, Eigen::VectorXd b) : a_(std::move(a)), b_(std::move(b)) {}
  Eigen::Index readings() const override { return a_.rows(); }
  void evaluate(const Eigen::VectorXd& x, Eigen::VectorXd& residuals, JacobianMatrix* jacobian) override {
    residuals = a_ * x - b_;
    if (jacobian) *jacobian = a_;
  }

 private:
  Eigen::MatrixXd a_;
  Eigen::VectorXd b_;
};

double condition_of(const Eigen::MatrixXd& a, const Eigen::VectorXd& variance) {
  Linear problem(a, Eigen::VectorXd::Ones(a.rows()));
  const Eigen::VectorXd zero = Eigen::VectorXd::Zero(a.cols());
  return condition(minimise(problem, {zero, variance}, zero));
}

}  // namespace

TEST_CASE("the condition number of the readings' matrix is what it is by hand and by its singular values") {
  // I + J P J' = diag(1 + 3^2 * 4, 1 + 1 * 1) = diag(37, 2).
  CHECK(condition_of(Eigen::Vector2d(3, 1).asDiagonal(), Eigen::Vector2d(4, 1)) == Approx(18.5));
  // The same reading twice: [[1 + s, s], [s, 1 + s]] has the eigenvalues 1 and 1 + 2 s.
  CHECK(condition_of(Eigen::Vector2d(1, 1), Eigen::VectorXd::Constant(1, 1e6)) == Approx(2e6 + 1));
  CHECK(condition_of(Eigen::MatrixXd(0, 3), Eigen::Vector3d(1, 1, 1)) == 1);
  Random random(4);
  for (int k = 0; k < 20; ++k) {
    const Eigen::Index m = 2 + k % 7, n = 1 + k % 5;
    const Eigen::MatrixXd a = Eigen::MatrixXd::NullaryExpr(m, n, [&] { return 10 * random.normal(); });
    const Eigen::VectorXd variance = Eigen::VectorXd::NullaryExpr(n, [&] { return 3 * random.uniform(); });
    const Eigen::MatrixXd whole =
        Eigen::MatrixXd::Identity(m, m) + a * variance.asDiagonal() * Eigen::MatrixXd(a.transpose());
    const Eigen::VectorXd values = Eigen::JacobiSVD<Eigen::MatrixXd>(whole).singularValues();
    CHECK(condition_of(a, variance) == Approx(values[0] / values[m - 1]).epsilon(1e-9));
  }
}

TEST_CASE("the form by readings and the form by unknowns give one answer") {
  // An unknown with a practically infinite but not infinite prior is solved by readings, with an infinite one by
  // unknowns; the other unknowns share their priors.
  Wavy problem(6, 14);
  Prior by_readings{Eigen::VectorXd::Constant(14, 0.3), Eigen::VectorXd::Constant(14, 0.5)};
  by_readings.variance[3] = 1e8;
  Prior by_unknowns = by_readings;
  by_unknowns.variance[3] = std::numeric_limits<double>::infinity();
  const Eigen::VectorXd start = Eigen::VectorXd::Zero(14);
  const Minimum a = minimise(problem, by_readings, start), b = minimise(problem, by_unknowns, start);
  CHECK((a.x - b.x).cwiseAbs().maxCoeff() < 1e-5);
  const Eigen::MatrixXd ca = Spread(a, by_readings).covariance(), cb = Spread(b, by_unknowns).covariance();
  CHECK((ca - cb).cwiseAbs().maxCoeff() < 1e-5);
  JacobianMatrix rows = JacobianMatrix::Random(2, 14);
  CHECK((Spread(a, by_readings).covariance(rows) - rows * ca * rows.transpose()).cwiseAbs().maxCoeff() < 1e-6);
}

TEST_CASE("an unknown with prior variance 0 stays where it was put") {
  Wavy problem(4, 9);
  Prior prior{Eigen::VectorXd::Constant(9, 0.25), Eigen::VectorXd::Constant(9, 1.0)};
  prior.variance[5] = 0;
  const Minimum minimum = minimise(problem, prior, prior.mean);
  CHECK(minimum.converged);
  CHECK(minimum.x[5] == 0.25);
}

TEST_CASE("the random numbers are standard normal and the same for the same seed") {
  Random a(3), b(3);
  double sum = 0, squares = 0, fourth = 0;
  constexpr int count = 200000;
  for (int i = 0; i < count; ++i) {
    const double x = a.normal();
    REQUIRE(x == b.normal());
    sum += x;
    squares += x * x;
    fourth += x * x * x * x;
  }
  CHECK(sum / count == Approx(0).margin(0.01));
  CHECK(squares / count == Approx(1).margin(0.02));
  CHECK(fourth / count == Approx(3).margin(0.1));
}

}  // namespace swingtie
