#include <catch2/catch.hpp>
#include <cmath>

#include "route/lot.hpp"
#include "route/posterior.hpp"
#include "route/random.hpp"

namespace swingtie {
namespace {

const Explanation* leading(const Posterior& posterior, MistakeKind kind) {
  for (const Explanation& e : posterior.explanations)
    if (e.what == kind) return &e;
  return nullptr;
}

double weight_of_locate(const Posterior& posterior, std::size_t locate) {
  return posterior.residuals[locate].wrong_probability;
}

}  // namespace

TEST_CASE("sound notes are taken at their word") {
  const Posterior posterior = solve(bent_lot());
  CHECK(posterior.verdict.kind == Verdict::Kind::agree);
  CHECK(posterior.alternatives.front().mistakes.empty());
  CHECK(posterior.alternatives.front().probability > 0.8);
  for (std::size_t k = 0; k < 4; ++k) CHECK(weight_of_locate(posterior, k) < 0.1);
  CHECK(posterior.remarks.empty());
}

TEST_CASE("a bend written with the wrong hand is named with its line in the file, both hands and the odds") {
  Placed placed = bent_lot();
  placed.runs[0].log[0].bend->hand = Hand::left;
  const Posterior posterior = solve(placed);
  const Explanation* e = leading(posterior, MistakeKind::wrong_hand);
  REQUIRE(e);
  CHECK(e->probability > 0.9);
  CHECK(e->span.line == 20);
  CHECK(e->says.find("run `R1`: the bend at 32.8 ft fits as right 45°, not left 45° (odds ") == 0);
  CHECK(e->says.find("check the recording at 32.8") != std::string::npos);
  CHECK(posterior.verdict.kind == Verdict::Kind::explained);
}

TEST_CASE("a locate on the wrong peak is named, and the route ignores it") {
  Placed placed = bent_lot();
  placed.runs[0].locates[2].position.at.e += 2.5;
  placed.runs[0].locates[2].position.at.n += 1.0;
  const Posterior posterior = solve(placed);
  CHECK(weight_of_locate(posterior, 2) > 0.9);
  CHECK(weight_of_locate(posterior, 1) < 0.05);
  const Eigen::Vector3d at = posterior.at_counter(0, {18}, Sight::sonde).mean();
  CHECK(std::hypot(at.x() - 8 * std::sqrt(0.5), at.y() - 10 - 8 * std::sqrt(0.5)) < 0.25);
  REQUIRE(!posterior.explanations.empty());
  CHECK(posterior.explanations.front().span.line == 48);
}

TEST_CASE("a misread counter is told from a wrong place by where the locate lies") {
  Placed placed = bent_lot();
  placed.runs[0].locates[2].at.metres += 10 * metres_per_foot;
  std::swap(placed.runs[0].locates[2], placed.runs[0].locates[3]);  // kept by counter
  placed.runs[0].log.back().at.metres = 22;
  const Posterior posterior = solve(placed);
  CHECK(weight_of_locate(posterior, 2) + weight_of_locate(posterior, 3) > 0.9);
  CHECK(leading(posterior, MistakeKind::misread_counter));
}

TEST_CASE("a counter that was not zeroed is named with its amount") {
  Placed placed = bent_lot();
  for (Locate& locate : placed.runs[0].locates) locate.at.metres += 1.5;
  for (LogItem& item : placed.runs[0].log) item.at.metres += 1.5;
  const Posterior posterior = solve(placed);
  const Explanation* e = leading(posterior, MistakeKind::counter_zero);
  REQUIRE(e);
  CHECK(e->probability > 0.8);
  CHECK(e->amount == Approx(1.5).margin(0.3));
}

TEST_CASE("a bend that nobody wrote down is found where it is") {
  Placed placed = bent_lot();
  placed.runs[0].log.erase(placed.runs[0].log.begin());
  placed.runs[0].bends = Completeness::some;
  const Posterior posterior = solve(placed);
  const Explanation* e = leading(posterior, MistakeKind::unlogged_bend);
  REQUIRE(e);
  CHECK(e->at.metres == Approx(10).margin(1.0));
  CHECK(e->amount > 30 * degree);
  // Where bends are known to be missing, one more is no contradiction.
  CHECK(posterior.verdict.kind == Verdict::Kind::agree);
}

TEST_CASE("cable shorter than the straight line between two locates names both") {
  Placed placed = bent_lot();
  placed.runs[0].locates[2].position.at = {placed.runs[0].locates[1].position.at.e + 8,
                                           placed.runs[0].locates[1].position.at.n + 3};
  const Posterior posterior = solve(placed);
  bool said = false;
  for (const Diagnostic& remark : posterior.remarks)
    said = said ||
           (remark.message.find("the locate at 45.9 and the locate at 59.1 are 28.0 ft apart, but only 13.1 ft of "
                                "cable lies between them") == 0 &&
            remark.hint.find("lines 44 and 48") != std::string::npos);
  CHECK(said);
}

TEST_CASE("readings that no few mistakes reconcile are called a contradiction") {
  Placed placed = bent_lot();
  Random random(4);
  for (Locate& locate : placed.runs[0].locates)
    locate.position.at = locate.position.at + PlanVector{30 * random.normal(), 30 * random.normal()};
  const Posterior posterior = solve(placed);
  CHECK(posterior.verdict.kind == Verdict::Kind::contradiction);
  REQUIRE(!posterior.remarks.empty());
  CHECK(posterior.remarks.front().message.find("contradict each other") != std::string::npos);
}

TEST_CASE("a run with nothing located says that its direction is unknown") {
  Placed placed = bent_lot();
  placed.runs[0].locates.clear();
  const Posterior posterior = solve(placed);
  bool said = false;
  for (const Diagnostic& remark : posterior.remarks)
    said = said || remark.message.find("nothing says in which direction line `main` leaves") == 0;
  CHECK(said);
  CHECK(!posterior.draws.empty());
}

TEST_CASE("past the last locate the region opens like a cone and the remark says so") {
  Placed placed = bent_lot();
  placed.runs[0].locates.resize(2);
  const Posterior posterior = solve(placed);
  double before = 0;
  for (const double at : {14.0, 16.0, 18.0, 20.0, 22.0}) {
    const double trace = posterior.at_counter(0, {at}, Sight::lens).covariance().topLeftCorner<2, 2>().trace();
    CHECK(trace > before);
    before = trace;
  }
  CHECK(posterior.lines[0].back().knowledge == Knowledge::inferred);
  bool said = false;
  for (const Diagnostic& remark : posterior.remarks)
    said = said || remark.message.find("past the last locate of run `R1`, at 45.9") == 0;
  CHECK(said);
}

}  // namespace swingtie
