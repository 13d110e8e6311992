#include "simulate/modes.hpp"

#include <cmath>
#include <memory>

#include "measure/bearing.hpp"
#include "measure/length.hpp"
#include "simulate/lot.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;

/// A job in feet about the clean-out at (100, 100), the pipe going north from it.
class Notes {
 public:
  explicit Notes(Completeness bends) {
    placed_.site_name = "two modes";
    placed_.ground = std::make_shared<PlaneGround>(Lawn{});
    placed_.lines.push_back({"main", Line::OpenEnd{}, {}, {}});
    Run run;
    run.id = "R1";
    run.bends = bends;
    run.access.at = {100 * ft, 100 * ft};
    run.access.covariance = std::pow(0.2 * ft, 2) * PlanCovariance::Identity();
    run.drop = 5 * ft;
    placed_.runs.push_back(run);
    LogItem start;
    Pipe pipe;
    pipe.size = 4 * metres_per_inch;
    pipe.material = Material::clay;
    pipe.words = "4 in clay";
    start.pipe = pipe;
    add(start, 0);
  }
  Notes& bend(double at, Hand hand, double degrees) {
    LogItem item;
    item.bend = Bend{hand, degrees * degree};
    add(item, at);
    return *this;
  }
  Notes& locate(double at, double right, double ahead, double sigma_ft) {
    Locate made;
    made.at.metres = at * ft;
    made.whole = true;
    made.position.at = {(100 + right) * ft, (100 + ahead) * ft};
    made.position.covariance = std::pow(sigma_ft * ft, 2) * PlanCovariance::Identity();
    made.span = {++line_, 9, 1};
    placed_.runs[0].locates.push_back(made);
    return *this;
  }
  Placed end(double at) {
    LogItem item;
    item.end = "blockage";
    add(item, at);
    return placed_;
  }

 private:
  void add(LogItem item, double at) {
    item.at.metres = at * ft;
    item.span = {++line_, 9, 1};
    placed_.runs[0].log.push_back(item);
  }

  Placed placed_;
  std::size_t line_ = 10;
};

TwoModes two(std::string says, Placed placed, double at, double right, double ahead, PlanVector along) {
  return {std::move(says), std::move(placed), {at * ft}, {(100 + right) * ft, (100 + ahead) * ft}, along};
}

}  // namespace

std::vector<TwoModes> two_mode_cases() {
  constexpr PlanVector north{0, 1};
  const auto all = Completeness::all;
  std::vector<TwoModes> cases;
  cases.push_back(two("end locate straight on after a 22.5 bend to the right: whose hand is it",
                      Notes(all)
                          .locate(20, 0, 20, 0.7)
                          .locate(40, 0, 40, 0.7)
                          .bend(45, Hand::right, 22.5)
                          .locate(57, -0.6, 57, 0.9)
                          .end(70),
                      68, 0, 68, north));
  cases.push_back(two("the same, the locate a little to the left",
                      Notes(all)
                          .locate(20, 0, 20, 0.7)
                          .locate(40, 0, 40, 0.7)
                          .bend(45, Hand::right, 22.5)
                          .locate(57, -1.6, 56.6, 0.9)
                          .end(70),
                      68, 0, 68, north));
  cases.push_back(two("a 45 bend, only phone fixes after it",
                      Notes(all)
                          .locate(20, 0, 20, 0.7)
                          .locate(38, 0, 38, 0.7)
                          .bend(42, Hand::left, 45)
                          .locate(60, 0.6, 56, 4.5)
                          .end(66),
                      62, 0, 58, north));
  cases.push_back(two("two bends of opposite hand, weak fixes between and beyond them",
                      Notes(all)
                          .locate(22, 0, 22, 0.7)
                          .bend(25, Hand::right, 45)
                          .locate(40, 1, 37, 4)
                          .bend(45, Hand::left, 45)
                          .locate(62, -0.5, 56, 4)
                          .end(70),
                      60, 0, 55, north));
  cases.push_back(two("the last locate stands 6 ft off: wrong, or a bend nobody wrote down",
                      Notes(all).locate(20, 0, 20, 0.7).locate(50, 0, 50, 0.7).locate(60, 6.0, 57.8, 0.7).end(70), 68,
                      4, 66, north));
  cases.push_back(
      two("the same where some bends were left out",
          Notes(Completeness::some).locate(20, 0, 20, 0.7).locate(50, 0, 50, 0.7).locate(60, 6.8, 56.2, 0.7).end(70),
          68, 5, 66, north));
  cases.push_back(two("the middle locate stands 3 ft off",
                      Notes(all)
                          .locate(15, 0, 15, 0.7)
                          .locate(30, 3.0, 30, 0.7)
                          .locate(45, 0, 45, 0.7)
                          .locate(62, 0, 62, 0.7)
                          .end(70),
                      30, 1.3, 30, north));
  cases.push_back(two("a 90 bend close to the end, one locate short of it and a doubtful one beyond",
                      Notes(all)
                          .locate(25, 0, 25, 0.7)
                          .locate(50, 0, 50, 0.7)
                          .bend(56, Hand::right, 90)
                          .locate(64, -1.5, 57, 3.5)
                          .end(66),
                      64, 0, 56, north));
  cases.push_back(two("first locate or heading: two locates only, the second off the line of the first",
                      Notes(all).locate(25, 3.4, 25, 0.7).locate(50, 0.3, 50, 0.7).locate(56, 0.2, 56, 0.7).end(60),
                      25, 1.7, 25, north));
  cases.push_back(two("a small bend whose hand the next locate hardly tells",
                      Notes(all)
                          .locate(18, 0, 18, 0.7)
                          .bend(24, Hand::left, 22.5)
                          .locate(34, -0.1, 33.8, 1.6)
                          .bend(38, Hand::right, 22.5)
                          .locate(50, -0.6, 49, 3.5)
                          .end(56),
                      50, 0, 50, north));
  return cases;
}

}  // namespace swingtie::simulate
