#include "bench/route_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>

#include "measure/length.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;

double percentile(std::vector<double> values, double p) {
  if (values.empty()) return 0;
  const auto k = static_cast<std::size_t>(std::floor(p * static_cast<double>(values.size() - 1) + 0.5));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(k), values.end());
  return values[k];
}

/// A mean that knows how many it is of.
struct Share {
  double sum = 0, count = 0;
  void add(double value) { sum += value, ++count; }
  double value() const { return count > 0 ? sum / count : 0; }
  double root() const { return std::sqrt(value()); }
};

const char* name_of(MistakeKind kind) {
  switch (kind) {
    case MistakeKind::unlogged_bend:
      return "unlogged bends";
    case MistakeKind::wrong_locate:
      return "wrong locates";
    case MistakeKind::misread_counter:
      return "misread counters";
    case MistakeKind::wrong_hand:
      return "wrong hands";
    case MistakeKind::counter_zero:
      break;
  }
  return "counters not zeroed";
}

std::string fraction(int part, int whole) {
  return whole == 0 ? "-" : fmt::format("{}/{}", part, whole);
}

std::string percent(const Share& share) {
  return share.count == 0 ? "     -" : fmt::format("{:5.1f} %", 100 * share.value());
}

void print_coverage(std::FILE* out, const ScenarioScores& scores, const char* title,
                    const std::vector<double>& limits_ft, const std::function<double(const RegionScore&)>& of,
                    const std::function<bool(const RegionScore&)>& inside) {
  fmt::print(out, "    {:<34}", title);
  for (std::size_t i = 0; i < limits_ft.size(); ++i) {
    Share share;
    const double high = i + 1 < limits_ft.size() ? limits_ft[i + 1] : 1e9;
    for (const LateralScore& lateral : scores.laterals)
      for (const RegionScore& region : lateral.regions)
        if (of(region) / ft >= limits_ft[i] && of(region) / ft < high) share.add(inside(region));
    const std::string range =
        high < 1e9 ? fmt::format("{:g}-{:g}", limits_ft[i], high) : fmt::format("{:g}+", limits_ft[i]);
    fmt::print(out, "  {} ft: {} of {:.0f}", range, percent(share), share.count);
  }
  fmt::print(out, "\n");
}

}  // namespace

Summary summarise(const ScenarioScores& scores) {
  Summary s;
  Share engine, joined, spline, bound, beyond, inside, depth_inside, depth_half, along, across;
  std::vector<double> areas, times, solves;
  double cluster = 0;
  for (const LateralScore& lateral : scores.laterals) {
    for (const PointScore& point : lateral.points) {
      if (point.to_locate < unlocated_from_ft * ft) continue;
      if (!point.between) {
        beyond.add(point.error * point.error);
        continue;
      }
      engine.add(point.error * point.error);
      joined.add(point.joined_error * point.joined_error);
      spline.add(point.spline_error * point.spline_error);
      bound.add(point.bound_error * point.bound_error);
    }
    for (const RegionScore& region : lateral.regions) {
      inside.add(region.inside);
      areas.push_back(region.area / (ft * ft));
      depth_inside.add(region.depth_inside);
      depth_half.add(region.depth_half / ft);
    }
    for (const MistakeScore& mistake : lateral.mistakes) {
      if (mistake.what == MistakeKind::unlogged_bend) continue;
      ++s.mistakes;
      s.named += mistake.named > 0.5;
      s.tellable += mistake.named > 0.5 || mistake.bound_can_tell;
    }
    for (const Accusation& accusation : lateral.false_accusations) {
      switch (accusation.what) {
        case MistakeKind::wrong_locate:
        case MistakeKind::misread_counter:
          ++s.false_locates;
          break;
        case MistakeKind::wrong_hand:
          ++s.false_hands;
          break;
        case MistakeKind::counter_zero:
          ++s.false_zeros;
          break;
        case MistakeKind::unlogged_bend:
          ++s.false_bends;
          break;
      }
    }
    s.sound_locates += lateral.sound_locates;
    s.sound_bends += lateral.sound_bends;
    s.sound_zeros += lateral.sound_zeros;
    times.push_back(lateral.milliseconds);
    solves.push_back(lateral.solves);
    along.sum += lateral.locate_error_along;
    across.sum += lateral.locate_error_across;
    along.count += lateral.locates_measured;
    across.count += lateral.locates_measured;
  }
  s.rms = engine.root() / ft;
  s.joined = joined.root() / ft;
  s.spline = spline.root() / ft;
  s.bound = bound.root() / ft;
  s.rms_beyond = beyond.root() / ft;
  s.coverage = inside.value();
  for (const LateralScore& lateral : scores.laterals) {
    double excess = 0;
    for (const RegionScore& region : lateral.regions) excess += region.inside - s.coverage;
    cluster += excess * excess;
  }
  s.coverage_error = inside.count > 0 ? std::sqrt(cluster) / inside.count : 0;
  s.median_area = percentile(areas, 0.5);
  s.depth_coverage = depth_inside.value();
  s.depth_half = depth_half.value();
  s.median_ms = percentile(times, 0.5);
  s.slow_ms = percentile(times, 0.95);
  s.median_solves = percentile(solves, 0.5);
  s.locate_along = along.root() / ft;
  s.locate_across = across.root() / ft;
  return s;
}

void print_table(std::FILE* out, const std::vector<ScenarioScores>& all) {
  fmt::print(out,
             "             RMS at unlocated counters, ft      95 % region    95 % depth   mistakes        false      "
             "   solve, CPU ms\n"
             "scenario     engine joined spline  bound ratio  holds   ft2    holds  ± ft  named of can    of sound   "
             "   50th   95th solves\n");
  for (const ScenarioScores& scores : all) {
    const Summary s = summarise(scores);
    const int accused = s.false_locates + s.false_hands + s.false_zeros;
    fmt::print(
        out,
        "{:<12} {:6.2f} {:6.2f} {:6.2f} {:6.2f} {:4.1f}x {:5.1f}% {:6.1f} {:6.1f}% {:5.2f}  {:<5} {:<8} {:<13} "
        "{:5.1f} {:6.1f} {:6.0f}\n",
        scores.scenario->name, s.rms, s.joined, s.spline, s.bound, s.rms > 0 ? s.joined / s.rms : 0, 100 * s.coverage,
        s.median_area, 100 * s.depth_coverage, s.depth_half, s.mistakes ? std::to_string(s.named) : "-",
        s.mistakes ? fmt::format("{}/{}", s.mistakes, s.tellable) : "",
        fraction(accused, s.sound_locates + s.sound_bends + s.sound_zeros), s.median_ms, s.slow_ms, s.median_solves);
  }
  fmt::print(out,
             "\nunlocated: {:g} ft of cable or more from every locate and the pipe entry, before the last locate. "
             "joined: straight lines between\n"
             "locates by counter; spline: a cubic through them; bound: a solve told which notes are wrong and every "
             "bend. ratio: joined to\n"
             "engine. holds: share of truths inside. named of can: mistakes named with probability above one half, "
             "of those made / of those\n"
             "that somebody who knew all else could tell. false: sound locates, bends and zeros accused.\n",
             unlocated_from_ft);
}

void print_reliability(std::FILE* out, const std::vector<ScenarioScores>& all) {
  const std::vector<double> limits = {0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 1.0001};
  fmt::print(out, "\ntold private with   mean told   was private        of\n");
  for (std::size_t i = 0; i + 1 < limits.size(); ++i) {
    Share told, was;
    for (const ScenarioScores& scores : all)
      for (const LateralScore& lateral : scores.laterals)
        for (const RegionScore& region : lateral.regions)
          if (region.private_probability >= limits[i] && region.private_probability < limits[i + 1]) {
            told.add(region.private_probability);
            was.add(region.is_private);
          }
    fmt::print(out, "   {:3.0f} - {:3.0f} %       {:5.1f} %       {}   {:7.0f}\n", 100 * limits[i],
               std::min(100.0, 100 * limits[i + 1]), 100 * told.value(), percent(was), was.count);
  }
}

void print_details(std::FILE* out, const ScenarioScores& scores) {
  const Summary s = summarise(scores);
  fmt::print(out, "\n{}: {}\n", scores.scenario->name, scores.scenario->says);
  fmt::print(out,
             "    locates off by {:.2f} ft along and {:.2f} ft across (RMS); RMS past the last locate {:.2f} ft\n",
             s.locate_along, s.locate_across, s.rms_beyond);
  Share along, across, along2, across2;
  for (const LateralScore& lateral : scores.laterals)
    for (const PointScore& point : lateral.points) {
      along.add(point.along / ft);
      across.add(point.across / ft);
      along2.add(point.along * point.along / (ft * ft));
      across2.add(point.across * point.across / (ft * ft));
    }
  fmt::print(out,
             "    answer off along {:+.2f} (RMS {:.2f}), across {:+.2f} (RMS {:.2f}) ft; plus is toward the main and "
             "right\n",
             along.value(), along2.root(), across.value(), across2.root());
  fmt::print(out, "    region holds {:.1f} ± {:.1f} %\n", 100 * s.coverage, 100 * s.coverage_error);
  const auto inside = [](const RegionScore& r) { return r.inside; };
  print_coverage(
      out, scores, "region, by counter to a locate", {0, 2, 5, 10, 20},
      [](const RegionScore& r) { return r.point.to_locate; }, inside);
  print_coverage(
      out, scores, "region, by depth", {0, 4, 6, 9, 12}, [](const RegionScore& r) { return r.depth; }, inside);
  print_coverage(
      out, scores, "depth, by depth", {0, 4, 6, 9, 12}, [](const RegionScore& r) { return r.depth; },
      [](const RegionScore& r) { return r.depth_inside; });
  Share past, before, run[2];
  for (const LateralScore& lateral : scores.laterals)
    for (const RegionScore& region : lateral.regions) {
      (region.point.between ? before : past).add(region.inside);
      run[std::min<std::size_t>(region.point.run, 1)].add(region.inside);
    }
  fmt::print(out, "    region, before / past the last locate {} / {}; first / second run {} / {}\n", percent(before),
             percent(past), percent(run[0]), percent(run[1]));
  for (const MistakeKind kind : {MistakeKind::wrong_locate, MistakeKind::misread_counter, MistakeKind::wrong_hand,
                                 MistakeKind::counter_zero, MistakeKind::unlogged_bend}) {
    int made = 0, named = 0, right = 0, tellable = 0, accused = 0;
    std::string missed;
    for (const LateralScore& lateral : scores.laterals) {
      for (const MistakeScore& mistake : lateral.mistakes) {
        if (mistake.what != kind) continue;
        ++made;
        named += mistake.named > 0.5;
        right += mistake.named > 0.5 && mistake.of_right_kind;
        tellable += mistake.named > 0.5 || mistake.bound_can_tell;
        if (mistake.named <= 0.5 && mistake.bound_can_tell && kind != MistakeKind::unlogged_bend)
          fmt::format_to(std::back_inserter(missed), " {}({:.2f})", lateral.seed, mistake.named);
      }
      for (const Accusation& accusation : lateral.false_accusations) accused += accusation.what == kind;
    }
    if (made + accused == 0) continue;
    fmt::print(out, "    {}: {} made, {} named, {} of them by their kind, {} tellable; {} falsely accused\n",
               name_of(kind), made, named, right, tellable, accused);
    if (!missed.empty()) fmt::print(out, "      missed though tellable, seed(probability):{}\n", missed);
    std::string seeds;
    for (const LateralScore& lateral : scores.laterals)
      for (const Accusation& accusation : lateral.false_accusations)
        if (accusation.what == kind)
          fmt::format_to(std::back_inserter(seeds), " {}({:.2f})", lateral.seed, accusation.probability);
    if (!seeds.empty()) fmt::print(out, "      falsely accused, seed(probability):{}\n", seeds);
  }
  std::vector<std::pair<double, std::uint64_t>> worst, outside;
  for (const LateralScore& lateral : scores.laterals) {
    Share square;
    for (const PointScore& point : lateral.points)
      if (point.between && point.to_locate >= unlocated_from_ft * ft) square.add(point.error * point.error);
    double out_of = 0;
    for (const RegionScore& region : lateral.regions) out_of += !region.inside;
    worst.push_back({square.root() / ft, lateral.seed});
    outside.push_back({out_of, lateral.seed});
  }
  const auto print_ten = [&](const char* title, std::vector<std::pair<double, std::uint64_t>> list) {
    std::stable_sort(list.begin(), list.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    fmt::print(out, "    {}", title);
    for (std::size_t i = 0; i < std::min<std::size_t>(10, list.size()); ++i)
      fmt::print(out, " {}({:.1f})", list[i].second, list[i].first);
    fmt::print(out, "\n");
  };
  print_ten("largest RMS, seed(ft):", worst);
  print_ten("most truths outside, seed(of 10):", outside);
  print_reliability(out, {scores});
}

void print_csv(std::FILE* out, const std::vector<ScenarioScores>& all) {
  fmt::print(out,
             "scenario,laterals,rms_ft,joined_ft,spline_ft,bound_ft,rms_beyond_ft,region_holds,region_holds_error,"
             "region_ft2,depth_holds,depth_half_ft,"
             "mistakes,named,tellable,false_locates,sound_locates,false_hands,sound_bends,false_zeros,sound_zeros,"
             "false_bends,ms_50,ms_95,solves_50\n");
  for (const ScenarioScores& scores : all) {
    const Summary s = summarise(scores);
    fmt::print(out,
               "{},{},{:.4f},{:.4f},{:.4f},{:.4f},{:.4f},{:.4f},{:.4f},{:.3f},{:.4f},{:.4f},{},{},{},{},{},{},{},{},{"
               "},{},{:.3f},{:.3f},{:.0f}\n",
               scores.scenario->name, scores.laterals.size(), s.rms, s.joined, s.spline, s.bound, s.rms_beyond,
               s.coverage, s.coverage_error, s.median_area, s.depth_coverage, s.depth_half, s.mistakes, s.named,
               s.tellable, s.false_locates, s.sound_locates, s.false_hands, s.sound_bends, s.false_zeros,
               s.sound_zeros, s.false_bends, s.median_ms, s.slow_ms, s.median_solves);
  }
}

}  // namespace swingtie::simulate
