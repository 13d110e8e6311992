#include "simulate/scenario.hpp"

#include <cmath>

namespace swingtie::simulate {

namespace {

std::vector<Scenario> table() {
  constexpr double ft = metres_per_foot;
  std::vector<Scenario> all;
  const auto add = [&](std::string name, std::string says) -> Scenario& {
    Scenario scenario;
    scenario.name = std::move(name);
    scenario.says = std::move(says);
    all.push_back(scenario);
    return all.back();
  };
  {
    // 0.7 ft of standard deviation on either axis is 1.7 ft at 95 %.
    Scenario& s = add("stated", "all bends logged with their angles, 4 locates of 0.7 ft an axis");
    s.stated = true;
    s.angle_given = 1;
    s.drop_pipe = 0;
    s.within = 0.7 * ft * std::sqrt(-2 * std::log(0.05));
  }
  {
    // As a job file says it: `within` on a locate is the 95 % radius of the whole of it.
    Scenario& s = add("within", "all bends logged with their angles, 4 locates within 0.7 ft in all");
    s.stated = true;
    s.angle_given = 1;
    s.drop_pipe = 0;
  }
  add("logged", "all bends logged, 4 locates");
  {
    Scenario& s = add("half", "half of the bends logged");
    s.bends = Completeness::some;
    s.bends_logged = 0.5;
  }
  {
    Scenario& s = add("none", "no bends logged");
    s.bends = Completeness::none;
    s.bends_logged = 0;
  }
  add("locates-2", "2 locates").locates = 2;
  add("locates-3", "3 locates").locates = 3;
  add("locates-6", "6 locates").locates = 6;
  add("locates-10", "10 locates").locates = 10;
  {
    Scenario& s = add("blunders", "10 % of 5 locates wrong by 5-12 ft");
    s.locates = 5;
    s.blunder = 0.10;
  }
  {
    Scenario& s = add("wrong-hands", "15 % of hands wrong, 5 locates");
    s.locates = 5;
    s.wrong_hand = 0.15;
    s.fewest_bends = 1;
  }
  {
    Scenario& s = add("misread", "one counter misread in every other lateral");
    s.locates = 5;
    s.one_misread = 0.5;
  }
  {
    Scenario& s = add("not-zeroed", "counter not zeroed in every other lateral");
    s.locates = 5;
    s.not_zeroed = 0.5;
  }
  {
    Scenario& s = add("mixed", "10 % each: locates, hands, zeros; half logged");
    s.locates = 5;
    s.bends = Completeness::some;
    s.bends_logged = 0.8;
    s.blunder = 0.06;
    s.misread = 0.04;
    s.wrong_hand = 0.10;
    s.not_zeroed = 0.10;
  }
  {
    Scenario& s = add("meeting", "two runs from both ends");
    s.course = Course::meeting;
    s.locates = 3;
  }
  {
    Scenario& s = add("branch", "a branch joined at a wye");
    s.course = Course::branching;
    s.locates = 4;
  }
  add("upstream", "one run pushed upstream").course = Course::upstream;
  {
    Scenario& s = add("deep", "10-16 ft deep");
    s.shallowest = 10 * ft;
    s.deepest = 16 * ft;
  }
  {
    Scenario& s = add("gnss", "every locate by a phone, within 12 ft");
    s.within = 12 * ft;
    s.locates = 6;
  }
  {
    Scenario& s = add("u-shape", "around a house, 90-140 ft");
    s.around_house = true;
    s.shortest = 90 * ft;
    s.longest = 140 * ft;
    s.locates = 5;
  }
  {
    Scenario& s = add("square", "90 degree bends only");
    s.angles_deg = {90};
    s.fewest_bends = 1;
    s.most_bends = 3;
  }
  {
    Scenario& s = add("long-drop", "starts with a long drop, zeroed at the rim");
    s.long_drop = true;
    s.drop_pipe = 0.5;
    s.shallowest = 6 * ft;
    s.deepest = 11 * ft;
  }
  return all;
}

}  // namespace

const std::vector<Scenario>& scenarios() {
  static const std::vector<Scenario> all = table();
  return all;
}

const Scenario* find_scenario(std::string_view name) {
  for (const Scenario& scenario : scenarios())
    if (scenario.name == name) return &scenario;
  return nullptr;
}

}  // namespace swingtie::simulate
