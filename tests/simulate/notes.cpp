#include "simulate/notes.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "measure/bearing.hpp"
#include "measure/length.hpp"
#include "simulate/counter.hpp"
#include "simulate/lot.hpp"
#include "simulate/receiver.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;

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

/// Standard deviation per axis of a circular error of this 95 % radius.
double sigma_within(double radius95) {
  return radius95 / std::sqrt(-2 * std::log(0.05));
}

struct DraftedItem {
  LogItem item;
  double distance = 0;               ///< metres of pipe from the line's house end of what is seen
  std::optional<LogItem> corrected;  ///< empty: the item is right as it is
  bool omitted = false;              ///< only the corrected notes have it
};

struct DraftedLocate {
  Locate locate;
  std::optional<Mistake> mistake;
  double right_reading = 0;
};

/// Puts a wrong counter on a locate, where some likely slip of the pen stays within the run.
void misread_locate(DraftedLocate& drafted, std::size_t run, double furthest, Random& random) {
  const auto wrong = misread(drafted.right_reading, furthest, random);
  if (!wrong) return;
  drafted.mistake = Mistake{MistakeKind::misread_counter, run, *wrong, *wrong - drafted.right_reading, 0};
  drafted.locate.at.metres = *wrong;
}

DepthPlan depth_plan(LocateMethod method, Random& random) {
  DepthPlan plan;
  plan.along = random.chance(0.55);
  plan.across = random.chance(0.10);
  plan.nulls = random.chance(method == LocateMethod::nulls ? 0.6 : 0.1);
  plan.ratio = random.chance(0.10);
  return plan;
}

/// The receiver's part of a locate with the lens at this pipe distance: method known, counter not yet written.
Locate receive(const Scenario& scenario, const Lateral& lateral, const TrueRun& really, double behind, double lens,
               LocateMethod by, const Eigen::Vector2d& shared_shift, Random& random) {
  const TrueLine& line = lateral.truth.lines[really.line];
  const double sonde = lens - really.sense * behind;
  const Dipole dipole{line.at(sonde), line.direction(sonde)};
  Locate locate;
  locate.by = by;
  const ReceiverReading reading = take_locate(dipole, lateral.lawn, by, depth_plan(by, random), Operator{}, random);
  locate.depth = reading.depth;
  locate.whole = scenario.stated;
  const Eigen::Vector2d mark = scenario.stated ? line.at(sonde).head<2>().eval() : reading.mark;
  for (std::optional<double>* depth : {&locate.depth.along, &locate.depth.across, &locate.depth.nulls})
    if (*depth) **depth = rounded_ft(**depth, 0.1);
  if (locate.depth.ratio) locate.depth.ratio->upper = std::round(locate.depth.ratio->upper * 10) / 10;

  const double sigma = sigma_within(scenario.within);
  const Eigen::Vector2d own(random.normal(), random.normal());
  locate.position.at = rounded_ft(
      mark + sigma * (std::sqrt(1 - scenario.shared_shift) * own + std::sqrt(scenario.shared_shift) * shared_shift),
      0.01);
  locate.position.covariance = sigma * sigma * PlanCovariance::Identity();

  const bool shows_direction = random.chance(0.15), turned_about = random.chance(0.5);
  const double direction_error = random.normal(0, 5) * degree;
  if (shows_direction) {
    // The receiver shows the line, not which end of it is which.
    const double shown = std::atan2(dipole.axis.x(), dipole.axis.y()) + direction_error + (turned_about ? pi : 0);
    locate.direction = Azimuth{std::fmod(std::round(std::fmod(shown + 4 * pi, 2 * pi) / degree), 360.0) * degree};
  }
  return locate;
}

LocateMethod usual_method(Random& random) {
  const double kind = random.uniform();
  return kind < 0.65 ? LocateMethod::peak : kind < 0.95 ? LocateMethod::nulls : LocateMethod::line;
}

/// One inspection being played.
class Inspection {
 public:
  Inspection(const Scenario& scenario, const RunPlan& plan, const PipeTable& pipes, Streams& streams,
             Lateral& lateral);
  void write_log();
  void write_locates(const Eigen::Vector2d& shared_shift);
  void hand_in();

 private:
  LogItem& see(double distance);
  void enter();
  void set_counter();
  void write_bend(const TrueBend& bend);
  double travelled(double distance) const { return really_.sense * (distance - plan_.entry); }
  std::size_t stretch_at(double distance) const;
  void blame(MistakeKind what, double at, double amount) { mistakes_.push_back({what, index_, at, amount, 0}); }

  const Scenario& scenario_;
  const RunPlan& plan_;
  const PipeTable& pipes_;
  Streams& streams_;
  Lateral& lateral_;
  const TrueLine& line_;
  std::size_t index_;
  Run run_, told_;
  TrueRun really_;
  std::optional<Counter> counter_;
  std::vector<DraftedItem> log_;
  std::vector<DraftedLocate> locates_;
  std::vector<Mistake> mistakes_;
};

Inspection::Inspection(const Scenario& scenario, const RunPlan& plan, const PipeTable& pipes, Streams& streams,
                       Lateral& lateral)
    : scenario_(scenario),
      plan_(plan),
      pipes_(pipes),
      streams_(streams),
      lateral_(lateral),
      line_(lateral.truth.lines[plan.line]),
      index_(lateral.placed.runs.size()) {
  enter();
  set_counter();
}

std::size_t Inspection::stretch_at(double distance) const {
  std::size_t stretch = 0;
  while (stretch + 1 < pipes_.size() && pipes_[stretch + 1].from <= distance) ++stretch;
  return stretch;
}

void Inspection::enter() {
  Random& random = streams_.counters;
  run_.id = "R" + std::to_string(index_ + 1);
  run_.line = plan_.line;
  run_.toward = plan_.toward;
  run_.bends = scenario_.bends;
  run_.access_what = "clean-out";
  run_.sonde_behind_lens = random.one_of(std::vector<double>{9, 11, 14}) * metres_per_inch;
  run_.view_ahead = random.one_of(std::vector<double>{3, 4, 6}) * metres_per_inch;

  const Eigen::Vector3d entry = line_.at(plan_.entry);
  const double sigma = sigma_within(0.5 * ft);
  run_.access.covariance = sigma * sigma * PlanCovariance::Identity();
  run_.access.at = rounded_ft(entry.head<2>() + sigma * Eigen::Vector2d(random.normal(), random.normal()), 0.01);
  const double drop =
      lateral_.lawn.height(entry.x(), entry.y()) - entry.z() + pipes_[stretch_at(plan_.entry)].pipe.size / 2;
  run_.drop = rounded_ft(drop + random.normal(0, 0.12) * ft, 0.1);

  really_.line = plan_.line;
  really_.entry = plan_.entry;
  really_.sense = plan_.toward == Travel::toward_main ? 1 : -1;
  really_.furthest = plan_.furthest;
  // The wheel's own error, and a cable that snakes in the pipe and so reads a little long.
  really_.scale = random.normal(1, 0.007) * (1 - random.uniform(0, 0.006));
  really_.zero = random.normal(0, 0.25) * ft;
  if (scenario_.long_drop) {
    run_.zero = CounterZero::at_rim;
    really_.zero += drop / really_.scale;
  } else if (random.chance(0.1)) {
    run_.zero = CounterZero::stated;
    run_.zero_reading.metres = random.whole(1, 6) * ft;
    really_.zero += run_.zero_reading.metres;
  }
}

void Inspection::set_counter() {
  Random& random = streams_.mistakes;
  told_ = run_;
  told_.bends = Completeness::all;
  if (random.chance(scenario_.not_zeroed)) {
    // Still counting from the push before, or zeroed after the camera was some way in.
    const double left_over =
        rounded_ft((random.chance(0.6) ? random.uniform(1.5, 8) : -random.uniform(1.5, 4)) * ft, 0.1);
    told_.zero = CounterZero::stated;
    told_.zero_reading.metres = (run_.zero == CounterZero::at_rim ? run_.drop : run_.zero_reading.metres) + left_over;
    really_.zero += left_over;
    blame(MistakeKind::counter_zero, 0, left_over);
  }
  counter_.emplace(really_, streams_.counters);
}

LogItem& Inspection::see(double distance) {
  DraftedItem drafted;
  drafted.distance = distance;
  double& reading = drafted.item.at.metres;
  reading = counter_->read(travelled(distance) - run_.view_ahead, streams_.counters);
  if (reading < 0 && reading > -0.6 * ft) reading = 0;  // a counter at its stop; nobody writes -0.1
  log_.push_back(drafted);
  return log_.back().item;
}

void Inspection::write_bend(const TrueBend& bend) {
  Random& random = streams_.mistakes;
  const double lens = travelled(bend.distance) - run_.view_ahead;
  if (lens <= 0.5 * ft || lens > plan_.furthest) return;
  const Hand hand = really_.sense < 0 && level(bend.hand) ? opposite(bend.hand) : bend.hand;
  LogItem& item = see(bend.distance);
  item.bend = Bend{hand, bend.angle};
  const bool logged = random.chance(scenario_.bends_logged);
  const bool angle_given = random.chance(scenario_.angle_given);
  const bool wrong = random.chance(scenario_.wrong_hand) && level(hand);
  if (!logged) {
    log_.back().omitted = true;
    blame(MistakeKind::unlogged_bend, item.at.metres, hand == Hand::left ? -bend.angle : bend.angle);
    return;
  }
  if (!angle_given) item.bend->angle = std::nullopt;
  log_.back().corrected = item;
  if (wrong) {
    item.bend->hand = opposite(hand);
    blame(MistakeKind::wrong_hand, item.at.metres, bend.angle);
  }
}

void Inspection::write_log() {
  Random& random = streams_.counters;
  const double begin = plan_.entry, reach = plan_.entry + really_.sense * plan_.furthest;
  // The first note is made with the lens at the pipe entry, of the pipe that begins there.
  see(begin + really_.sense * run_.view_ahead).pipe = pipes_[stretch_at(begin)].pipe;
  for (std::size_t i = 1; i < pipes_.size(); ++i) {
    const double lens = travelled(pipes_[i].from) - run_.view_ahead;
    if (lens <= 0 || lens > plan_.furthest) continue;
    // Going up the pipe one meets the far end of the stretch before.
    see(pipes_[i].from).pipe = pipes_[really_.sense > 0 ? i : i - 1].pipe;
  }
  for (const TrueBend& bend : line_.bends) write_bend(bend);
  if (plan_.wye) {
    LogItem& item = see(*plan_.wye);
    item.wye = plan_.wye_hand;
    item.branch = 1;
  }
  const std::vector<std::string> sights = {"fine roots at the joint", "joint offset 1 in", "crack along the crown",
                                           "water standing 1 in"};
  for (const Act act : {Act::dig, Act::watch}) {
    LogItem& item = see(begin + really_.sense * plan_.furthest * random.uniform(0.15, 0.98));
    item.what = random.one_of(sights);
    item.act = act;
  }
  LogItem& end = see(reach);
  end.ends_at_main = plan_.reaches_main;
  end.end = plan_.reaches_main ? "city main" : plan_.ends_in;
}

void Inspection::write_locates(const Eigen::Vector2d& shared_shift) {
  Random& receiver = streams_.receiver;
  Random& random = streams_.mistakes;
  for (int i = 0; i < plan_.locates; ++i) {
    double lens = plan_.furthest * (i + receiver.uniform(0.35, 0.95)) / plan_.locates;
    if (i == plan_.locates - 1) lens = plan_.furthest * (receiver.chance(0.8) ? 1.0 : receiver.uniform(0.9, 1.0));
    lens = std::max(lens, run_.sonde_behind_lens + 1 * ft);
    const LocateMethod by = usual_method(receiver);
    DraftedLocate drafted;
    Locate& locate = drafted.locate = receive(scenario_, lateral_, really_, run_.sonde_behind_lens,
                                              plan_.entry + really_.sense * lens, by, shared_shift, receiver);
    locate.at.metres = drafted.right_reading = counter_->read(lens, streams_.counters);
    const bool blunder = random.chance(scenario_.blunder), misread_it = random.chance(scenario_.misread);
    const double off = random.uniform(5, 12) * ft, toward = random.uniform(0, 2 * pi);
    if (locate.at.metres < 0) continue;  // nothing to write yet on a counter zeroed further in
    if (blunder) {
      const Eigen::Vector2d wrong(locate.position.at.e + off * std::sin(toward),
                                  locate.position.at.n + off * std::cos(toward));
      locate.position.at = rounded_ft(wrong, 0.01);
      drafted.mistake = Mistake{MistakeKind::wrong_locate, index_, locate.at.metres, off, 0};
    }
    locates_.push_back(drafted);
    if (misread_it && !blunder) misread_locate(locates_.back(), index_, counter_->shown(plan_.furthest), random);
  }
  if (!locates_.empty() && random.chance(scenario_.one_misread))
    misread_locate(locates_[static_cast<std::size_t>(random.whole(0, static_cast<int>(locates_.size()) - 1))], index_,
                   counter_->shown(plan_.furthest), random);
}

void Inspection::hand_in() {
  const auto earlier = [](const auto& a, const auto& b) { return a.at < b.at; };
  std::stable_sort(log_.begin(), log_.end(), [&](const auto& a, const auto& b) { return earlier(a.item, b.item); });
  for (const DraftedItem& drafted : log_) {
    if (drafted.item.at.metres < 0) continue;
    told_.log.push_back(drafted.corrected ? *drafted.corrected : drafted.item);
    if (drafted.omitted) continue;
    run_.log.push_back(drafted.item);
    really_.log_distances.push_back(drafted.distance);
  }
  for (const DraftedLocate& drafted : locates_) {
    run_.locates.push_back(drafted.locate);
    if (drafted.mistake) mistakes_.push_back(*drafted.mistake);
    if (drafted.mistake && drafted.mistake->what == MistakeKind::wrong_locate) continue;
    told_.locates.push_back(drafted.locate);
    told_.locates.back().at.metres = drafted.right_reading;
  }
  for (Run* run : {&run_, &told_}) {
    std::stable_sort(run->locates.begin(), run->locates.end(), earlier);
    // Line numbers as a file would have: one note a line, the log before the locates.
    std::size_t number = 1000 * (index_ + 1);
    for (LogItem& item : run->log) item.span = {++number, 9, 1};
    for (Locate& locate : run->locates) locate.span = {++number, 9, 1};
  }
  for (Mistake& mistake : mistakes_) {
    if (mistake.what == MistakeKind::wrong_locate || mistake.what == MistakeKind::misread_counter) {
      for (std::size_t i = 0; i < run_.locates.size(); ++i)
        if (run_.locates[i].at.metres == mistake.at) mistake.index = i;
    } else if (mistake.what == MistakeKind::wrong_hand) {
      for (std::size_t i = 0; i < run_.log.size(); ++i)
        if (run_.log[i].bend && run_.log[i].at.metres == mistake.at) mistake.index = i;
    }
    lateral_.truth.mistakes.push_back(mistake);
  }
  lateral_.truth.runs.push_back(really_);
  lateral_.placed.runs.push_back(run_);
  lateral_.told.runs.push_back(told_);
}

}  // namespace

void inspect(const Scenario& scenario, const RunPlan& plan, const PipeTable& pipes,
             const Eigen::Vector2d& shared_shift, Streams& streams, Lateral& lateral) {
  Inspection inspection(scenario, plan, pipes, streams, lateral);
  inspection.write_log();
  inspection.write_locates(shared_shift);
  inspection.hand_in();
}

Locate further_locate(const Scenario& scenario, const Lateral& lateral, std::size_t run, CounterReading at,
                      LocateMethod by, Random& random) {
  const TrueRun& really = lateral.truth.runs[run];
  const Run& notes = lateral.placed.runs[run];
  Locate locate = receive(scenario, lateral, really, notes.sonde_behind_lens, really.distance(at.metres), by,
                          Eigen::Vector2d::Zero(), random);
  locate.at.metres = rounded_ft(at.metres + random.normal(0, 0.12) * ft, 0.1);
  locate.span = {1000 * (run + 1) + 999, 9, 1};
  return locate;
}

}  // namespace swingtie::simulate
