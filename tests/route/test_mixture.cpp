#include <catch2/catch.hpp>

#include "route/lot.hpp"
#include "route/mixture.hpp"
#include "route/search.hpp"

namespace swingtie {

using Catch::Detail::Approx;

TEST_CASE("draws from a term scatter as its covariance says, with the residuals of its linear model") {
  const Placed placed = bent_lot();
  const std::unique_ptr<Model> model = make_model(placed, 0.75);
  SolveStatistics statistics;
  for (const bool explain : {false, true}) {
    const auto terms = search(*model, placed, explain, statistics);
    const MixtureTerm& term = *terms.back();
    constexpr Eigen::Index count = 4000;
    Random random(7);
    const MixtureTerm::Draws draws = term.draw(random, count);
    REQUIRE(draws.x.cols() == count);

    const Eigen::MatrixXd off = draws.x.colwise() - term.minimum.x;
    const Eigen::MatrixXd expected = (term.minimum.jacobian * off).colwise() + term.minimum.residuals;
    CHECK((draws.residuals - expected).cwiseAbs().maxCoeff() < 1e-8);

    const Eigen::MatrixXd stated = term.covariance(JacobianMatrix::Identity(model->unknowns, model->unknowns));
    for (Eigen::Index i = 0; i < model->unknowns; ++i) {
      INFO("unknown " << i);
      const double sigma = std::sqrt(std::max(stated(i, i), 0.0));
      // Five standard errors of a mean and of a variance over so many draws.
      CHECK(std::abs(off.row(i).mean()) <= 5 * sigma / std::sqrt(count) + 1e-12);
      CHECK(off.row(i).squaredNorm() / count ==
            Approx(sigma * sigma).epsilon(5 * std::sqrt(2.0 / count)).margin(1e-12));
    }
  }
}

}  // namespace swingtie
