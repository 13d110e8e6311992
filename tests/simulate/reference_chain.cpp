#include "simulate/reference_chain.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "simulate/random.hpp"

namespace swingtie::simulate {

namespace {

constexpr double piece = 0.3;    ///< metres between the joints of this chain's pipe
constexpr std::size_t room = 2;  ///< bends that nobody wrote down, at most

struct WrittenBend {
  double reading = 0, angle = 0, sigma = 0;  ///< angle: right positive
};

struct MarkedLocate {
  double reading = 0;
  Eigen::Vector2d at;
  double sigma = 0;  ///< per axis
};

struct Slot {
  bool on = false;
  double place = 0;  ///< 0..1 of the run
  double angle = 0;  ///< standard normal
};

/// Everything unknown. `normal` holds standard normal numbers: entry e, n, scale, zero, then two a bend, then joints.
struct Unknowns {
  std::vector<double> normal;
  double heading = 0;
  bool not_zeroed = false;
  std::vector<char> flipped;
  std::array<Slot, room> slots;
};

/// The route at the locates, then at the asked counters.
struct Walked {
  std::vector<Eigen::Vector2d> points, ways;  ///< and the unit vectors along the pipe there
};

class Pipe2D {
 public:
  Pipe2D(const Placed& placed, const StatedModel& model, const std::vector<CounterReading>& asked);

  Unknowns start(Random& random) const;
  void walk(const Unknowns& x, Walked& walked) const;
  double log_likelihood(const Unknowns& x, Walked& walked) const;
  /// Posterior probability that each locate is wrong or misread, given the route.
  void add_responsibilities(const Walked& walked, std::vector<double>& sums) const;

  std::size_t bends() const { return bends_.size(); }
  std::size_t locates() const { return locates_.size(); }
  double chance_of_slot() const { return slot_; }
  double chance_of_flip() const { return model_.wrong_hand; }
  double chance_not_zeroed() const { return model_.not_zeroed; }

 private:
  double zero_sigma(const Unknowns& x) const {
    return x.not_zeroed ? std::hypot(model_.counter_zero, model_.not_zeroed_by) : model_.counter_zero;
  }
  /// Densities of a locate's miss if it is sound, stands in the wrong place, or carries a misread counter; each times
  /// the chance of that.
  std::array<double, 3> densities(std::size_t locate, const Walked& walked) const;

  StatedModel model_;
  std::vector<WrittenBend> bends_;
  std::vector<MarkedLocate> locates_;
  std::vector<double> asked_;
  Eigen::Vector2d access_;
  double access_sigma_ = 0, behind_ = 0, ahead_ = 0, zero_ = 0, length_ = 0, slot_ = 0, heading_ = 0;
  std::size_t joints_ = 0;
};

Pipe2D::Pipe2D(const Placed& placed, const StatedModel& model, const std::vector<CounterReading>& asked)
    : model_(model) {
  const Run& run = placed.runs.at(0);
  access_ = {run.access.at.e, run.access.at.n};
  access_sigma_ = std::sqrt(run.access.covariance(0, 0) + model.access * model.access);
  behind_ = run.sonde_behind_lens;
  ahead_ = run.view_ahead;
  if (run.zero == CounterZero::stated) zero_ = run.zero_reading.metres;
  for (const LogItem& item : run.log) {
    length_ = std::max(length_, item.at.metres - zero_ + ahead_);
    if (!item.bend) continue;
    const double sign = *item.bend->hand == Hand::left ? -1 : 1;
    const bool written = item.bend->angle.has_value();
    bends_.push_back({item.at.metres, sign * (written ? *item.bend->angle : model.bend_angle_usual),
                      written ? model.bend_angle : model.bend_angle_unwritten});
  }
  for (const Locate& locate : run.locates) {
    length_ = std::max(length_, locate.at.metres - zero_);
    MarkedLocate marked;
    marked.reading = locate.at.metres;
    marked.at = {locate.position.at.e, locate.position.at.n};
    marked.sigma = std::sqrt(locate.position.covariance(0, 0));
    locates_.push_back(marked);
  }
  for (const CounterReading& reading : asked) asked_.push_back(reading.metres);
  joints_ = static_cast<std::size_t>(std::ceil(length_ / piece)) + 3;
  // A slot is on with half the expected number, so that two of them expect as many bends as the rate says.
  slot_ = std::min(0.5, model.unlogged_per_metre * length_ / room);
  const Eigen::Vector2d first = locates_.front().at - access_;
  heading_ = std::atan2(first.x(), first.y());
}

Unknowns Pipe2D::start(Random& random) const {
  Unknowns x;
  x.normal.resize(4 + 2 * bends_.size() + joints_);
  for (double& value : x.normal) value = 0.3 * random.normal();
  x.flipped.assign(bends_.size(), 0);
  x.heading = heading_;
  return x;
}

void Pipe2D::walk(const Unknowns& x, Walked& walked) const {
  const double scale = 1 + model_.counter_scale * x.normal[2];
  const double zero = zero_ + zero_sigma(x) * x.normal[3];
  struct Turn {
    double at, angle;
  };
  std::array<Turn, 16> turns;
  std::size_t count = 0;
  for (std::size_t j = 0; j < bends_.size(); ++j) {
    const double reading = bends_[j].reading + model_.counter_reading * x.normal[4 + 2 * j];
    const double angle = (x.flipped[j] ? -1 : 1) * bends_[j].angle + bends_[j].sigma * x.normal[5 + 2 * j];
    turns[count++] = {(reading - zero) * scale + ahead_, angle};
  }
  for (const Slot& slot : x.slots)
    if (slot.on) turns[count++] = {slot.place * length_, model_.unlogged_angle * slot.angle};
  std::sort(turns.begin(), turns.begin() + static_cast<std::ptrdiff_t>(count),
            [](const Turn& a, const Turn& b) { return a.at < b.at; });

  struct Target {
    double at;
    std::size_t index;
  };
  std::array<Target, 32> targets;
  std::size_t wanted = 0;
  for (const MarkedLocate& locate : locates_) {
    targets[wanted] = {(locate.reading - zero) * scale - behind_, wanted};
    ++wanted;
  }
  for (const double reading : asked_) {
    targets[wanted] = {(reading - zero) * scale, wanted};
    ++wanted;
  }
  std::sort(targets.begin(), targets.begin() + static_cast<std::ptrdiff_t>(wanted),
            [](const Target& a, const Target& b) { return a.at < b.at; });
  walked.points.resize(wanted);
  walked.ways.resize(wanted);

  Eigen::Vector2d at = access_ + access_sigma_ * Eigen::Vector2d(x.normal[0], x.normal[1]);
  const double joint = model_.drift_per_root_metre * std::sqrt(piece);
  const double* drift = &x.normal[4 + 2 * bends_.size()];
  double heading = x.heading, gone = 0;
  Eigen::Vector2d way(std::sin(heading), std::cos(heading));
  std::size_t turn = 0, target = 0, next_joint = 0;
  while (target < wanted) {
    const double at_joint = piece * static_cast<double>(next_joint + 1);
    const double at_turn = turn < count ? turns[turn].at : 1e9;
    const double until = std::min(at_joint, at_turn);
    while (target < wanted && targets[target].at <= until) {
      walked.points[targets[target].index] = at + (targets[target].at - gone) * way;
      walked.ways[targets[target].index] = way;
      ++target;
    }
    at += (until - gone) * way;
    gone = until;
    if (at_turn <= at_joint)
      heading += turns[turn++].angle;
    else
      heading += next_joint < joints_ ? joint * drift[next_joint++] : (++next_joint, 0.0);
    way = {std::sin(heading), std::cos(heading)};
  }
}

std::array<double, 3> Pipe2D::densities(std::size_t locate, const Walked& walked) const {
  const double sigma2 = locates_[locate].sigma * locates_[locate].sigma;
  const double wrong2 = sigma2 + model_.wrong_locate_by * model_.wrong_locate_by;
  const double misread2 = sigma2 + model_.misread_by * model_.misread_by;
  const Eigen::Vector2d off = locates_[locate].at - walked.points[locate];
  const double along = off.dot(walked.ways[locate]), across2 = off.squaredNorm() - along * along;
  return {(1 - model_.wrong_locate - model_.misread_counter) / sigma2 * std::exp(-0.5 * off.squaredNorm() / sigma2),
          model_.wrong_locate / wrong2 * std::exp(-0.5 * off.squaredNorm() / wrong2),
          model_.misread_counter / std::sqrt(sigma2 * misread2) *
              std::exp(-0.5 * (along * along / misread2 + across2 / sigma2))};
}

double Pipe2D::log_likelihood(const Unknowns& x, Walked& walked) const {
  walk(x, walked);
  double sum = 0;
  for (std::size_t i = 0; i < locates_.size(); ++i) {
    const auto [sound, wrong, misread] = densities(i, walked);
    sum += std::log(sound + wrong + misread + 1e-300);
  }
  return sum;
}

void Pipe2D::add_responsibilities(const Walked& walked, std::vector<double>& sums) const {
  for (std::size_t i = 0; i < locates_.size(); ++i) {
    const auto [sound, wrong, misread] = densities(i, walked);
    sums[i] += (wrong + misread) / (sound + wrong + misread + 1e-300);
  }
}

/// One chain at one power of the likelihood.
struct Walker {
  Unknowns x;
  double log_likelihood = 0;
  double beta = 1;
  double whole_step = 0.3, heading_step = 0.1;  ///< tuned while burning in
};

class Stepper {
 public:
  Stepper(const Pipe2D& pipe, Random& random) : pipe_(pipe), random_(random) {}

  void sweep(Walker& walker, bool tune) {
    const bool whole = move_normals(walker, walker.whole_step, walker.x.normal.size());
    const bool turned = turn(walker);
    if (tune) {
      walker.whole_step = std::clamp(walker.whole_step * (whole ? 1.03 : 0.99), 1e-3, 1.0);
      walker.heading_step = std::clamp(walker.heading_step * (turned ? 1.03 : 0.99), 1e-4, 3.0);
    }
    for (int i = 0; i < 3; ++i) move_normals(walker, std::pow(10.0, random_.uniform(-1.3, 0)), 1 + i);
    move_head(walker);
    flip(walker);
    change_zero(walker);
    change_slot(walker);
  }

 private:
  bool accept(Walker& walker, const Unknowns& proposed, double log_ratio) {
    const double likelihood = pipe_.log_likelihood(proposed, scratch_);
    if (std::log(random_.uniform() + 1e-300) >= walker.beta * (likelihood - walker.log_likelihood) + log_ratio)
      return false;
    walker.x = proposed;
    walker.log_likelihood = likelihood;
    return true;
  }

  /// Crank-Nicolson step of some of the Gaussian unknowns: keeps their prior whatever its size.
  bool move_normals(Walker& walker, double step, std::size_t how_many) {
    Unknowns proposed = walker.x;
    const std::size_t n = proposed.normal.size();
    const double keep = std::sqrt(std::max(0.0, 1 - step * step));
    for (std::size_t i = 0; i < how_many; ++i) {
      const std::size_t k = how_many == n ? i : static_cast<std::size_t>(random_.whole(0, static_cast<int>(n) - 1));
      proposed.normal[k] = keep * proposed.normal[k] + step * random_.normal();
    }
    return accept(walker, proposed, 0);
  }

  /// The few unknowns that every point hangs on, and the heading with them.
  void move_head(Walker& walker) {
    Unknowns proposed = walker.x;
    const double step = std::pow(10.0, random_.uniform(-1.5, 0)), keep = std::sqrt(1 - step * step);
    for (std::size_t k = 0; k < 4 + 2 * pipe_.bends(); ++k)
      proposed.normal[k] = keep * proposed.normal[k] + step * random_.normal();
    proposed.heading += walker.heading_step * random_.normal();
    accept(walker, proposed, 0);
  }

  bool turn(Walker& walker) {
    Unknowns proposed = walker.x;
    proposed.heading += walker.heading_step * random_.normal() * (random_.chance(0.1) ? 10 : 1);
    return accept(walker, proposed, 0);
  }

  void flip(Walker& walker) {
    if (pipe_.bends() == 0) return;
    Unknowns proposed = walker.x;
    char& flipped = proposed.flipped[static_cast<std::size_t>(random_.whole(0, static_cast<int>(pipe_.bends()) - 1))];
    const double odds = std::log(pipe_.chance_of_flip() / (1 - pipe_.chance_of_flip()));
    flipped = !flipped;
    accept(walker, proposed, flipped ? odds : -odds);
  }

  void change_zero(Walker& walker) {
    Unknowns proposed = walker.x;
    proposed.not_zeroed = random_.chance(pipe_.chance_not_zeroed());
    if (proposed.not_zeroed != walker.x.not_zeroed) proposed.normal[3] = random_.normal();
    accept(walker, proposed, 0);
  }

  void change_slot(Walker& walker) {
    Unknowns proposed = walker.x;
    Slot& slot = proposed.slots[static_cast<std::size_t>(random_.whole(0, room - 1))];
    const double kind = random_.uniform();
    if (kind < 0.4 || !slot.on) {
      // Drawn anew from the prior, so that the acceptance knows only the likelihood.
      slot.on = random_.chance(pipe_.chance_of_slot());
      slot.place = random_.uniform();
      slot.angle = random_.normal();
      accept(walker, proposed, 0);
      return;
    }
    const double step = std::pow(10.0, random_.uniform(-2, 0));
    slot.angle = std::sqrt(1 - step * step) * slot.angle + step * random_.normal();
    if (kind < 0.7) slot.place += step * 0.3 * random_.normal();
    if (slot.place < 0 || slot.place > 1) return;
    accept(walker, proposed, 0);
  }

  const Pipe2D& pipe_;
  Random& random_;
  Walked scratch_;
};

}  // namespace

StatedModel stated_model(Completeness bends) {
  StatedModel model;
  // Bends left out of the notes in a hundred feet of pipe.
  const double in_100_ft = bends == Completeness::all ? 0.05 : bends == Completeness::some ? 1.2 : 2.5;
  model.unlogged_per_metre = in_100_ft / (100 * metres_per_foot);
  return model;
}

ChainAnswer run_chain(const Placed& placed, const StatedModel& model, const std::vector<CounterReading>& asked,
                      const ChainOptions& options) {
  Random random(options.seed, 77);
  const Pipe2D pipe(placed, model, asked);
  Stepper stepper(pipe, random);
  Walked walked;
  std::vector<Walker> walkers(static_cast<std::size_t>(options.temperatures));
  for (std::size_t k = 0; k < walkers.size(); ++k) {
    walkers[k].x = pipe.start(random);
    walkers[k].log_likelihood = pipe.log_likelihood(walkers[k].x, walked);
    // From 1 to 1e-5 in equal ratios; the last chain hears nothing of the readings.
    walkers[k].beta = k + 1 == walkers.size()
                          ? 0
                          : std::pow(1e-5, static_cast<double>(k) / static_cast<double>(walkers.size() - 2));
  }

  ChainAnswer answer;
  answer.wrong_locate.assign(pipe.locates(), 0);
  answer.wrong_hand.assign(pipe.bends(), 0);
  answer.points.resize(asked.size());
  double kept = 0, swaps = 0, tried = 0;
  for (int sweep = 0; sweep < options.sweeps; ++sweep) {
    const bool burning = sweep < options.sweeps / 5;
    for (Walker& walker : walkers) stepper.sweep(walker, burning);
    for (std::size_t k = static_cast<std::size_t>(sweep % 2); k + 1 < walkers.size(); k += 2) {
      Walker &cold = walkers[k], &hot = walkers[k + 1];
      const double log_ratio = (cold.beta - hot.beta) * (hot.log_likelihood - cold.log_likelihood);
      const bool exchange = std::log(random.uniform() + 1e-300) < log_ratio;
      if (k == 0) tried += 1, swaps += exchange;
      if (!exchange) continue;
      std::swap(cold.x, hot.x);
      std::swap(cold.log_likelihood, hot.log_likelihood);
    }
    if (burning) continue;
    const Unknowns& x = walkers[0].x;
    pipe.walk(x, walked);
    kept += 1;
    pipe.add_responsibilities(walked, answer.wrong_locate);
    for (std::size_t j = 0; j < pipe.bends(); ++j) answer.wrong_hand[j] += x.flipped[j];
    answer.any_unlogged += std::any_of(x.slots.begin(), x.slots.end(), [](const Slot& s) { return s.on; });
    if (sweep % 10 != 0) continue;
    for (std::size_t q = 0; q < asked.size(); ++q) {
      const Eigen::Vector2d& p = walked.points[pipe.locates() + q];
      answer.points[q].push_back({p.x(), p.y()});
    }
  }
  for (double& share : answer.wrong_locate) share /= kept;
  for (double& share : answer.wrong_hand) share /= kept;
  answer.any_unlogged /= kept;
  answer.swaps = tried > 0 ? swaps / tried : 0;
  return answer;
}

}  // namespace swingtie::simulate
