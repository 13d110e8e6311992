#include "simulate/notes.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "measure/bearing.hpp"
#include "measure/length.hpp"
#include "simulate/lot.hpp"
#include "simulate/receiver.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;

/// The counter of one run as the operator sees it.
class Counter {
 public:
  Counter(const TrueRun& run, Random& random)
      : run_(run),
        step_ft_(random.chance(0.15) ? 0.5 : 0.1),
        slack_(random.uniform(0, 0.12) * ft),
        wave_(2 * pi / (random.uniform(20, 60) * ft)),
        phase_(random.uniform(0, 2 * pi)) {}

  /// What is written down with the lens this far from the pipe entry.
  double read(double travelled, Random& random) const {
    const double slack = slack_ * std::sin(wave_ * travelled + phase_);
    const double shown = run_.zero + travelled / run_.scale + slack + random.normal(0, 0.12) * ft;
    return rounded_ft(shown, step_ft_);
  }
  double shown(double travelled) const { return run_.zero + travelled / run_.scale; }

 private:
  TrueRun run_;
  double step_ft_, slack_, wave_, phase_;
};

Hand opposite(Hand hand) {
  switch (hand) {
    case Hand::left:
      return Hand::right;
    case Hand::right:
      return Hand::left;
    case Hand::up:
      return Hand::down;
    case Hand::down:
      break;
  }
  return Hand::up;
}

bool level(Hand hand) {
  return hand == Hand::left || hand == Hand::right;
}

/// A reading that somebody might write for this one: a digit ten, five or twenty off, or two digits exchanged.
std::optional<double> misread(double reading, double furthest, Random& random) {
  const int whole = static_cast<int>(std::round(reading / ft * 10));
  std::vector<double> wrong;
  const int tens = whole / 100 % 10, ones = whole / 10 % 10;
  for (const double change : {-100.0, 100.0, -100.0, 100.0, -50.0, 50.0, -200.0, 200.0, 90.0 * (ones - tens)}) {
    const double tenths = whole + change;
    if (tenths > 0 && tenths / 10 * ft < furthest && std::abs(change) >= 30) wrong.push_back(tenths / 10 * ft);
  }
  if (wrong.empty()) return std::nullopt;
  return random.one_of(wrong);
}

struct Drafted {
  LogItem item;
  std::optional<LogItem> corrected;  ///< empty: the item is right as it is
  bool omitted = false;              ///< only the corrected notes have it
};

struct DraftedLocate {
  Locate locate;
  std::optional<Mistake> mistake;
  double right_reading = 0;
};

template <class T>
void by_counter(std::vector<T>& notes) {
  std::stable_sort(notes.begin(), notes.end(), [](const T& a, const T& b) { return a.at < b.at; });
}

std::vector<double> locate_travels(const RunPlan& plan, double behind, Random& random) {
  std::vector<double> travels;
  for (int i = 0; i < plan.locates; ++i) {
    double travelled = plan.furthest * (i + random.uniform(0.35, 0.95)) / plan.locates;
    if (i == plan.locates - 1) travelled = plan.furthest * (random.chance(0.8) ? 1.0 : random.uniform(0.9, 1.0));
    travels.push_back(std::max(travelled, behind + 1 * ft));
  }
  return travels;
}

DepthPlan depth_plan(LocateMethod method, Random& random) {
  DepthPlan plan;
  plan.along = random.chance(0.55);
  plan.across = random.chance(0.10);
  plan.nulls = random.chance(method == LocateMethod::nulls ? 0.6 : 0.1);
  plan.ratio = random.chance(0.10);
  return plan;
}

void round_depths(DepthReadings& depth) {
  for (std::optional<double>* reading : {&depth.along, &depth.across, &depth.nulls})
    if (*reading) **reading = rounded_ft(**reading, 0.1);
  if (depth.ratio) depth.ratio->upper = std::round(depth.ratio->upper * 10) / 10;
}

}  // namespace

void inspect(const Scenario& scenario, const RunPlan& plan, const std::vector<Pipe>& pipes,
             const std::vector<double>& pipe_from, const Eigen::Vector2d& shared_shift, Streams& streams,
             Lateral& lateral) {
  const std::size_t index = lateral.placed.runs.size();
  const TrueLine& line = lateral.truth.lines[plan.line];
  const double sense = plan.toward == Travel::toward_main ? 1 : -1;
  Random& counters = streams.counters;
  Random& mistakes = streams.mistakes;

  Run run;
  run.id = "R" + std::to_string(index + 1);
  run.line = plan.line;
  run.toward = plan.toward;
  run.bends = scenario.bends;
  run.access_what = "clean-out";
  run.sonde_behind_lens = counters.one_of(std::vector<double>{9, 11, 14}) * metres_per_inch;
  run.view_ahead = counters.one_of(std::vector<double>{3, 4, 6}) * metres_per_inch;

  const Eigen::Vector3d entry = line.at(plan.entry);
  const double access_sigma = 0.5 * ft / std::sqrt(-2 * std::log(0.05));
  run.access.covariance = access_sigma * access_sigma * PlanCovariance::Identity();
  run.access.at =
      rounded_ft(entry.head<2>() + access_sigma * Eigen::Vector2d(counters.normal(), counters.normal()), 0.01);
  std::size_t stretch = 0;
  while (stretch + 1 < pipes.size() && pipe_from[stretch + 1] <= plan.entry) ++stretch;
  const double true_drop = lateral.lawn.height(entry.x(), entry.y()) - entry.z() + pipes[stretch].size / 2;
  run.drop = rounded_ft(true_drop + counters.normal(0, 0.12) * ft, 0.1);

  TrueRun really;
  really.line = plan.line;
  really.entry = plan.entry;
  really.sense = sense;
  really.furthest = plan.furthest;
  // The wheel's own error, and a cable that snakes in the pipe and so reads a little long.
  really.scale = counters.normal(1, 0.007) * (1 - counters.uniform(0, 0.006));
  really.zero = counters.normal(0, 0.25) * ft;
  if (scenario.long_drop) {
    run.zero = CounterZero::at_rim;
    really.zero += true_drop / really.scale;
  } else if (counters.chance(0.1)) {
    run.zero = CounterZero::stated;
    run.zero_reading.metres = counters.whole(1, 6) * ft;
    really.zero += run.zero_reading.metres;
  }
  Run told = run;
  if (mistakes.chance(scenario.not_zeroed)) {
    // Still counting from the push before, or zeroed after the camera was some way in.
    const double left_over =
        rounded_ft((mistakes.chance(0.6) ? mistakes.uniform(1.5, 8) : -mistakes.uniform(1.5, 4)) * ft, 0.1);
    told.zero = CounterZero::stated;
    told.zero_reading.metres = (run.zero == CounterZero::at_rim ? run.drop : run.zero_reading.metres) + left_over;
    really.zero += left_over;
    lateral.truth.mistakes.push_back({MistakeKind::counter_zero, index, 0, left_over, 0});
  }
  lateral.truth.runs.push_back(really);
  const Counter counter(really, counters);

  std::vector<Drafted> log;
  const auto travelled_to = [&](double distance) { return sense * (distance - plan.entry); };
  const auto seen_from = [&](double distance) { return travelled_to(distance) - run.view_ahead; };
  const auto add = [&](double travelled) -> LogItem& {
    log.push_back({});
    log.back().item.at.metres = counter.read(travelled, counters);
    return log.back().item;
  };

  add(0).pipe = pipes[stretch];
  for (std::size_t i = 0; i < pipes.size(); ++i) {
    // Going up the pipe one meets the far end of the stretch before.
    const double travelled = seen_from(pipe_from[i]);
    if (i == 0 || travelled <= 0 || travelled > plan.furthest) continue;
    add(travelled).pipe = sense > 0 ? pipes[i] : pipes[i - 1];
  }
  for (const TrueBend& bend : line.bends) {
    const double travelled = seen_from(bend.distance);
    if (travelled <= 0.5 * ft || travelled > plan.furthest) continue;
    const Hand hand = sense < 0 && level(bend.hand) ? opposite(bend.hand) : bend.hand;
    LogItem& item = add(travelled);
    item.bend = Bend{hand, bend.angle};
    const bool logged = mistakes.chance(scenario.bends_logged);
    const bool angle_given = mistakes.chance(0.85);
    const bool wrong = mistakes.chance(scenario.wrong_hand) && level(hand);
    if (!logged) {
      log.back().omitted = true;
      lateral.truth.mistakes.push_back(
          {MistakeKind::unlogged_bend, index, item.at.metres, hand == Hand::left ? -bend.angle : bend.angle, 0});
      continue;
    }
    log.back().corrected = item;
    if (!angle_given) log.back().corrected->bend->angle = item.bend->angle = std::nullopt;
    if (wrong) {
      item.bend->hand = opposite(hand);
      lateral.truth.mistakes.push_back({MistakeKind::wrong_hand, index, item.at.metres, bend.angle, 0});
    }
  }
  if (plan.wye) {
    LogItem& item = add(seen_from(*plan.wye));
    item.wye = plan.wye_hand;
    item.branch = 1;
  }
  const std::vector<std::string> sights = {"fine roots at the joint", "joint offset 1 in", "crack along the crown",
                                           "water standing 1 in"};
  for (int i = 0; i < 2; ++i) {
    LogItem& item = add(plan.furthest * counters.uniform(0.15, 0.98));
    item.what = counters.one_of(sights);
    item.act = i == 0 ? Act::dig : Act::watch;
  }
  LogItem& end = add(plan.furthest - run.view_ahead);
  end.ends_at_main = plan.reaches_main;
  end.end = plan.reaches_main ? "city main" : plan.ends_in;

  std::vector<DraftedLocate> locates;
  const Operator person;
  const double sigma = scenario.within / std::sqrt(-2 * std::log(0.05));
  for (const double travelled : locate_travels(plan, run.sonde_behind_lens, streams.receiver)) {
    Random& receiver = streams.receiver;
    const double sonde = plan.entry + sense * (travelled - run.sonde_behind_lens);
    const Dipole dipole{line.at(sonde), line.direction(sonde)};
    const double kind = receiver.uniform();
    DraftedLocate drafted;
    Locate& locate = drafted.locate;
    locate.by = kind < 0.65 ? LocateMethod::peak : kind < 0.95 ? LocateMethod::nulls : LocateMethod::line;
    const DepthPlan depths = depth_plan(locate.by, receiver);
    const ReceiverReading reading = take_locate(dipole, lateral.lawn, locate.by, depths, person, receiver);
    locate.depth = reading.depth;
    round_depths(locate.depth);
    const Eigen::Vector2d own(receiver.normal(), receiver.normal());
    Eigen::Vector2d written = reading.mark + sigma * (std::sqrt(1 - scenario.shared_shift) * own +
                                                      std::sqrt(scenario.shared_shift) * shared_shift);
    const bool shows_direction = receiver.chance(0.15), turned_about = receiver.chance(0.5);
    const double direction_error = receiver.normal(0, 5) * degree;
    if (shows_direction) {
      // The receiver shows the line, not which end of it is which.
      double direction = std::atan2(dipole.axis.x(), dipole.axis.y()) + direction_error + (turned_about ? pi : 0);
      direction = std::fmod(direction + 4 * pi, 2 * pi);
      locate.direction = Azimuth{std::fmod(std::round(direction / degree), 360.0) * degree};
    }
    locate.at.metres = drafted.right_reading = counter.read(travelled, counters);
    if (locate.at.metres < 0) continue;  // nothing to write yet on a counter zeroed further in
    const bool blunder = mistakes.chance(scenario.blunder), misread_it = mistakes.chance(scenario.misread);
    const double off = mistakes.uniform(5, 12) * ft, toward = mistakes.uniform(0, 2 * pi);
    if (blunder) {
      written += off * Eigen::Vector2d(std::sin(toward), std::cos(toward));
      drafted.mistake = Mistake{MistakeKind::wrong_locate, index, locate.at.metres, off, 0};
    } else if (misread_it) {
      if (const auto wrong = misread(locate.at.metres, counter.shown(plan.furthest), mistakes)) {
        drafted.mistake = Mistake{MistakeKind::misread_counter, index, *wrong, *wrong - locate.at.metres, 0};
        locate.at.metres = *wrong;
      }
    }
    locate.position.at = rounded_ft(written, 0.01);
    locate.position.covariance = sigma * sigma * PlanCovariance::Identity();
    locates.push_back(drafted);
  }
  if (!locates.empty() && mistakes.chance(scenario.one_misread)) {
    DraftedLocate& victim =
        locates[static_cast<std::size_t>(mistakes.whole(0, static_cast<int>(locates.size()) - 1))];
    if (const auto wrong = misread(victim.right_reading, counter.shown(plan.furthest), mistakes)) {
      victim.mistake = Mistake{MistakeKind::misread_counter, index, *wrong, *wrong - victim.right_reading, 0};
      victim.locate.at.metres = *wrong;
    }
  }

  // Line numbers as a file would have: one note a line, the log before the locates.
  const auto numbered = [&](Run& made) {
    by_counter(made.log);
    by_counter(made.locates);
    std::size_t number = 1000 * (index + 1);
    for (LogItem& item : made.log) item.span = {++number, 9, 1};
    for (Locate& locate : made.locates) locate.span = {++number, 9, 1};
  };
  told.bends = Completeness::all;
  for (const Drafted& drafted : log) {
    if (drafted.item.at.metres < 0) continue;
    if (!drafted.omitted) run.log.push_back(drafted.item);
    told.log.push_back(drafted.corrected ? *drafted.corrected : drafted.item);
  }
  for (const DraftedLocate& drafted : locates) {
    run.locates.push_back(drafted.locate);
    if (drafted.mistake) lateral.truth.mistakes.push_back(*drafted.mistake);
    if (drafted.mistake && drafted.mistake->what == MistakeKind::wrong_locate) continue;
    told.locates.push_back(drafted.locate);
    told.locates.back().at.metres = drafted.right_reading;
  }
  numbered(run);
  numbered(told);
  for (Mistake& mistake : lateral.truth.mistakes) {
    if (mistake.run != index) continue;
    const bool of_locate = mistake.what == MistakeKind::wrong_locate || mistake.what == MistakeKind::misread_counter;
    for (std::size_t i = 0; of_locate && i < run.locates.size(); ++i)
      if (run.locates[i].at.metres == mistake.at) mistake.index = i;
    for (std::size_t i = 0; mistake.what == MistakeKind::wrong_hand && i < run.log.size(); ++i)
      if (run.log[i].bend && run.log[i].at.metres == mistake.at) mistake.index = i;
  }
  lateral.placed.runs.push_back(run);
  lateral.told.runs.push_back(told);
}

}  // namespace swingtie::simulate
