// Compares the engine's mixture with a long Markov chain on jobs that can be explained in two ways. Takes minutes;
// see --help.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <cmath>
#include <thread>

#include "route/posterior.hpp"
#include "simulate/modes.hpp"
#include "simulate/reference_chain.hpp"

namespace {

using namespace swingtie;
using namespace swingtie::simulate;

double share_first(const TwoModes& job, const std::vector<PlanPoint>& points) {
  const auto first = std::count_if(points.begin(), points.end(), [&](PlanPoint p) { return job.first(p); });
  return static_cast<double>(first) / static_cast<double>(points.size());
}

double share_first(const TwoModes& job, const Posterior& answer) {
  std::vector<PlanPoint> points;
  for (const RouteDraw& draw : answer.draws)
    points.push_back(plan(point_at(draw, job.placed, 0, job.at, Sight::lens)));
  return share_first(job, points);
}

struct Compared {
  double chain = 0, chain_again = 0, engine = 0;
  ChainAnswer details;
  Posterior answer;
};

}  // namespace

int main(int argc, char** argv) {
  int sweeps = 40000, threads = 2, only = 0;
  bool details = false;
  CLI::App app{"Compares the engine's weights of two modes with a long Markov chain's.", "compare_modes"};
  app.add_option("--sweeps", sweeps, "of each chain")->check(CLI::PositiveNumber)->capture_default_str();
  app.add_option("--threads", threads, "cases at a time")->check(CLI::PositiveNumber)->capture_default_str();
  app.add_option("--case", only, "only this one, from 1")->check(CLI::Range(1, 10));
  app.add_flag("--details", details, "what either blames");
  CLI11_PARSE(app, argc, argv);

  std::vector<TwoModes> jobs = two_mode_cases();
  if (only > 0) jobs = {jobs.at(static_cast<std::size_t>(only - 1))};
  std::vector<Compared> compared(jobs.size());
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t i = next++; i < jobs.size(); i = next++) {
      const StatedModel model = stated_model(jobs[i].placed.runs[0].bends);
      ChainOptions options;
      options.sweeps = sweeps;
      compared[i].details = run_chain(jobs[i].placed, model, {jobs[i].at}, options);
      compared[i].chain = share_first(jobs[i], compared[i].details.points[0]);
      options.seed = 2;
      compared[i].chain_again =
          share_first(jobs[i], run_chain(jobs[i].placed, model, {jobs[i].at}, options).points[0]);
      SolveOptions many;
      many.draws = 4000;
      compared[i].answer = solve(jobs[i].placed, many);
      compared[i].engine = share_first(jobs[i], compared[i].answer);
    }
  };
  std::vector<std::thread> pool;
  for (int t = 1; t < threads; ++t) pool.emplace_back(work);
  work();
  for (std::thread& thread : pool) thread.join();

  fmt::print(
      "probability of the mode to the right; two chains of {} sweeps with their own seeds\n\nchain  again  engine  "
      "off\n",
      sweeps);
  double worst = 0;
  for (std::size_t i = 0; i < jobs.size(); ++i) {
    const Compared& c = compared[i];
    const double off = std::abs(c.engine - 0.5 * (c.chain + c.chain_again));
    worst = std::max(worst, off);
    fmt::print("{:5.3f}  {:5.3f}  {:5.3f}  {:5.3f}  {}\n", c.chain, c.chain_again, c.engine, off, jobs[i].says);
    if (!details) continue;
    fmt::print("       chain: wrong locates");
    for (const double p : c.details.wrong_locate) fmt::print(" {:.3f}", p);
    fmt::print("; wrong hands");
    for (const double p : c.details.wrong_hand) fmt::print(" {:.3f}", p);
    fmt::print("; a bend not written {:.3f}; exchanges {:.2f}\n       engine:", c.details.any_unlogged,
               c.details.swaps);
    for (const Explanation& e : c.answer.explanations)
      fmt::print(" {} at {:.1f} {:.3f};",
                 e.what == MistakeKind::unlogged_bend     ? "bend"
                 : e.what == MistakeKind::wrong_locate    ? "locate"
                 : e.what == MistakeKind::misread_counter ? "counter"
                 : e.what == MistakeKind::wrong_hand      ? "hand"
                                                          : "zero",
                 e.at.metres / metres_per_foot, e.probability);
    fmt::print("\n");
  }
  fmt::print("\nlargest difference {:.3f}\n", worst);
}
