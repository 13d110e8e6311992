#include "simulate/lateral.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

#include "measure/bearing.hpp"
#include "simulate/lot.hpp"
#include "simulate/notes.hpp"
#include "simulate/pipe.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;

Pipe pipe_of(double inches, Material material) {
  Pipe pipe;
  pipe.size = inches * metres_per_inch;
  pipe.material = material;
  pipe.words = std::to_string(static_cast<int>(inches)) + " in " + std::string(trade_name(material));
  return pipe;
}

std::vector<PipeStretchPlan> stretches_of(double length, Random& random) {
  std::vector<PipeStretchPlan> stretches;
  const double house_end = random.uniform(8, 25) * ft;
  stretches.push_back({0, pipe_of(4, random.chance(0.6) ? Material::cast_iron : Material::pvc)});
  const double inches = random.chance(0.5) ? 4 : 6;
  const std::vector<Material> outside = {Material::clay, Material::clay, Material::pvc, Material::orangeburg};
  if (house_end < length - 5 * ft) stretches.push_back({house_end, pipe_of(inches, random.one_of(outside))});
  const double street_end = length * random.uniform(0.6, 0.9);
  if (random.chance(0.3) && street_end > house_end + 10 * ft)
    stretches.push_back({street_end, pipe_of(6, Material::concrete)});
  return stretches;
}

bool clear_of(const std::vector<TrueBend>& bends, double from, double to, double gap) {
  return std::none_of(bends.begin(), bends.end(),
                      [&](const TrueBend& b) { return b.distance > from - gap && b.distance < to + gap; });
}

void add_level_bends(const Scenario& scenario, double from, double to, int count, Random& random,
                     std::vector<TrueBend>& bends) {
  for (int i = 0, tries = 0; i < count && tries < 200; ++tries) {
    const double at = random.uniform(from, to);
    if (!clear_of(bends, at, at, 4 * ft)) continue;
    bends.push_back({at, Hand::left, random.one_of(scenario.angles_deg) * degree});
    ++i;
  }
  std::sort(bends.begin(), bends.end(), [](const TrueBend& a, const TrueBend& b) { return a.distance < b.distance; });
}

/// Chooses hands so that the line keeps going more or less toward the street: never more than 100 degrees off its
/// start.
void choose_hands(std::vector<TrueBend>& bends, Random& random) {
  double turned = 0;
  for (TrueBend& bend : bends) {
    const double sign = random.chance(0.5) ? 1 : -1;
    const double turn = std::abs(turned + sign * bend.angle) <= 100 * degree ? sign * bend.angle : -sign * bend.angle;
    bend.hand = turn > 0 ? Hand::right : Hand::left;
    turned += turn;
  }
}

/// A short steep piece from a shallow pipe down to a deeper one.
void add_drop_pipe(double angle, double length, double from, double to, Random& random,
                   std::vector<TrueBend>& bends) {
  for (int tries = 0; tries < 100; ++tries) {
    const double at = random.uniform(from, to);
    if (!clear_of(bends, at, at + length, 3 * ft)) continue;
    bends.push_back({at, Hand::down, angle});
    bends.push_back({at + length, Hand::up, angle});
    std::sort(bends.begin(), bends.end(),
              [](const TrueBend& a, const TrueBend& b) { return a.distance < b.distance; });
    return;
  }
}

TrenchPlan plan_trench(const Scenario& scenario, Random& random) {
  TrenchPlan plan;
  plan.length = random.uniform(scenario.shortest, scenario.longest);
  plan.azimuth = random.uniform(0, 2 * pi);
  plan.grade = random.uniform(0.01, 0.04);
  plan.start = {5000 * ft, 5000 * ft, -random.uniform(scenario.shallowest, scenario.deepest)};
  plan.stretches = stretches_of(plan.length, random);
  const int count = random.whole(scenario.fewest_bends, scenario.most_bends);
  if (scenario.around_house) {
    const Hand hand = random.chance(0.5) ? Hand::left : Hand::right;
    const double first = random.uniform(6, 12) * ft, second = first + random.uniform(22, 40) * ft;
    std::vector<TrueBend> later;
    Scenario gentle = scenario;
    gentle.angles_deg = {22.5, 45};
    add_level_bends(gentle, second + 8 * ft, plan.length - 4 * ft, std::min(count, 2), random, later);
    choose_hands(later, random);
    plan.bends = {{first, hand, 90 * degree}, {second, hand, 90 * degree}};
    plan.bends.insert(plan.bends.end(), later.begin(), later.end());
  } else {
    add_level_bends(scenario, 4 * ft, plan.length - 4 * ft, count, random, plan.bends);
    choose_hands(plan.bends, random);
  }
  const bool drop_pipe = random.chance(scenario.drop_pipe);
  const double drop_length = random.uniform(2, 4) * ft;
  if (drop_pipe)
    add_drop_pipe((scenario.long_drop ? 90 : 45) * degree, drop_length, 5 * ft, plan.length - 10 * ft, random,
                  plan.bends);
  return plan;
}

Lawn choose_lawn(const std::vector<TrueLine>& lines, Random& random) {
  Lawn lawn;
  lawn.origin = {lines[0].vertices[0].x(), lines[0].vertices[0].y(), 0};
  const bool slopes = random.chance(0.3);
  const double slope = random.uniform(0.01, 0.06), toward = random.uniform(0, 2 * pi);
  if (!slopes) return lawn;
  lawn.rise_e = std::round(slope * std::sin(toward) * 1000) / 1000;
  lawn.rise_n = std::round(slope * std::cos(toward) * 1000) / 1000;
  for (const TrueLine& line : lines)
    for (const Eigen::Vector3d& v : line.vertices)
      if (lawn.height(v.x(), v.y()) - v.z() < 2 * ft) {
        lawn.rise_e = lawn.rise_n = 0;  // such a pipe would come out of the ground
        return lawn;
      }
  return lawn;
}

/// A branch laid from its wye up to another fixture, then turned to flow down.
TrueLine lay_branch(const TrueLine& line, double wye, Hand hand, TrenchPlan& plan, Random& random) {
  const Eigen::Vector3d flow = line.direction(wye);
  // A wye's arm points back up the line, 45 degrees out.
  const double upstream = std::atan2(-flow.x(), -flow.y());
  plan.azimuth = upstream + (hand == Hand::left ? 45 : -45) * degree;
  plan.grade = -random.uniform(0.01, 0.04);
  plan.start = line.at(wye);
  return reversed(lay(plan, random));
}

}  // namespace

Lateral make_lateral(const Scenario& scenario, std::uint64_t seed) {
  Random route(seed, 1), lot(seed, 2);
  Streams streams{Random(seed, 3), Random(seed, 4), Random(seed, 5)};
  Lateral lateral;

  const TrenchPlan plan = plan_trench(scenario, route);
  lateral.truth.lines.push_back(lay(plan, route));
  const TrueLine line = lateral.truth.lines[0];
  const double length = line.length();

  Placed& placed = lateral.placed;
  placed.site_name = "Simulated lateral " + scenario.name + " " + std::to_string(seed);
  placed.unit = LengthUnit::foot;
  placed.features = lot_around(line, scenario.around_house, lot);
  const auto feature_index = [&](std::string_view id) {
    for (std::size_t i = 0; i < placed.features.size(); ++i)
      if (placed.features[i].id == id) return i;
    return placed.features.size();
  };
  placed.lines.push_back({"main", Line::OpenEnd{}, {}, {}});
  placed.ownership.until = PrivateUntil::right_of_way;
  placed.ownership.feature = feature_index("row");
  placed.digging.rules = "us";

  RunPlan first;
  first.locates = scenario.locates;
  first.furthest = length;
  first.reaches_main = route.chance(0.8);
  if (!first.reaches_main) first.furthest *= route.uniform(0.8, 0.97);
  first.ends_in = "blockage";
  std::vector<RunPlan> runs;
  PipeTable branch_pipes;
  switch (scenario.course) {
    case Course::downstream:
      runs.push_back(first);
      break;
    case Course::upstream:
      first.reaches_main = false;
      first.toward = Travel::toward_house;
      first.entry = length * route.uniform(0.75, 0.95);
      first.furthest = first.entry - route.uniform(0, 3) * ft;
      first.ends_in = "house";
      runs.push_back(first);
      break;
    case Course::meeting: {
      first.reaches_main = false;
      first.furthest = length * route.uniform(0.45, 0.65);
      RunPlan second = first;
      second.toward = Travel::toward_house;
      second.entry = length * route.uniform(0.85, 1.0);
      second.furthest = second.entry - first.furthest + route.uniform(0, 10) * ft;
      runs = {first, second};
      break;
    }
    case Course::branching: {
      const Hand hand = route.chance(0.5) ? Hand::left : Hand::right;
      double wye = length * route.uniform(0.35, 0.75);
      for (int tries = 0; tries < 50 && !clear_of(line.bends, wye, wye, 3 * ft); ++tries)
        wye = length * route.uniform(0.35, 0.75);
      TrenchPlan branch;
      branch.length = route.uniform(15, 45) * ft;
      branch.stretches = {{0, pipe_of(4, Material::pvc)}};
      add_level_bends(scenario, 5 * ft, branch.length - 4 * ft, route.whole(0, 2), route, branch.bends);
      choose_hands(branch.bends, route);
      lateral.truth.lines.push_back(lay_branch(line, wye, hand, branch, route));
      branch_pipes = branch.stretches;
      placed.lines.push_back({"branch", Line::OpenEnd{}, 0, {}});
      first.furthest = length;
      first.wye = wye;
      first.wye_hand = hand;
      RunPlan second;
      second.line = 1;
      second.furthest = lateral.truth.lines[1].length();
      second.locates = 2;
      second.ends_in = "wye";
      runs = {first, second};
      break;
    }
  }
  if (first.reaches_main) placed.lines[0].end = Line::OnFeatureEnd{feature_index("main")};

  lateral.lawn = choose_lawn(lateral.truth.lines, route);
  placed.ground = std::make_shared<PlaneGround>(lateral.lawn);
  lateral.told = placed;
  const Eigen::Vector2d shared(streams.receiver.normal(), streams.receiver.normal());
  for (const RunPlan& run : runs)
    inspect(scenario, run, run.line == 0 ? plan.stretches : branch_pipes, shared, streams, lateral);
  return lateral;
}

}  // namespace swingtie::simulate
