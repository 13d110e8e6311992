#include "whole/notes.hpp"

#include <fmt/core.h>

#include <cmath>
#include <numeric>

namespace swingtie {
namespace {

std::string_view unit_word(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::foot:
      return "ft";
    case LengthUnit::us_survey_foot:
      return "us-ft";
    case LengthUnit::metre:
      break;
  }
  return "m";
}

class Writer {
 public:
  explicit Writer(const Notes& notes) : notes_(notes) {}

  std::string text() const {
    std::string text =
        fmt::format("swingtie: 1\nsite: {{name: invariance, units: {}}}\nfeatures:\n", unit_word(notes_.unit));
    const std::vector<std::string> features = {
        fmt::format("{{id: house, kind: house, area: {}}}", points(notes_.house)),
        fmt::format("{{id: curb, kind: curb, line: {}}}", points(notes_.curb)),
        fmt::format("{{id: row, kind: right-of-way, line: {}}}", points(notes_.right_of_way)),
        fmt::format("{{id: sewer, kind: main, line: {}}}", points(notes_.main)),
        fmt::format("{{id: oak, kind: tree, at: {}, trunk: {}}}", point(notes_.tree), length(0.4)),
    };
    std::vector<std::size_t> order = notes_.order;
    if (order.empty()) {
      order.resize(features.size());
      std::iota(order.begin(), order.end(), 0);
    }
    for (const std::size_t i : order) {
      text += "  - " + features[i] + "\n";
    }
    if (notes_.end) {
      text +=
          fmt::format("lines: [{{id: main, ends_at: {{at: {}, within: {}}}}}]\n", point(*notes_.end), length(0.1));
    }
    text += fmt::format(
        "runs:\n  - id: R1\n    toward: {}\n    from: {{at: {{at: {}, within: {}}}, what: clean-out, drop: {}}}\n"
        "    camera: {{sonde_behind_lens: {}}}\n    bends: all\n    log:\n",
        notes_.upstream ? "house" : "main", point(notes_.access), length(0.1), length(notes_.drop),
        length(notes_.sonde_behind_lens));
    for (const auto& line : notes_.log) {
      text +=
          fmt::format("      - {{at: {}, {}}}\n", length(line.at),
                      line.bend ? fmt::format("bend: {} {}", *line.bend > 0 ? "right" : "left", std::abs(*line.bend))
                                : line.what);
    }
    text += "    locates:\n";
    for (const auto& line : notes_.locates) {
      text += fmt::format("      - {{at: {}, position: {}, depth: {}}}\n", length(line.at),
                          line.by_ties ? ties(line.position) : point(line.position), length(line.depth));
    }
    return text + "ownership: {private_until: right-of-way, source: invented}\n";
  }

 private:
  std::string length(double metres) const { return fmt::format("{:.7f}", metres / metres_per(notes_.unit)); }
  std::string point(PlanPoint p) const { return fmt::format("[{}, {}]", length(p.e), length(p.n)); }
  std::string points(const std::vector<PlanPoint>& all) const {
    std::string text;
    for (const auto& p : all) {
      text += (text.empty() ? "[" : ", ") + point(p);
    }
    return text + "]";
  }
  std::string ties(PlanPoint p) const {
    return fmt::format("{{ties: {{house.1: {}, house.2: {}}}, side: toward curb}}",
                       length(distance(p, notes_.house[0])), length(distance(p, notes_.house[1])));
  }

  const Notes& notes_;
};

}  // namespace

Notes plain_notes() {
  // The line leaves (4, -0.5) southward, turns right 45 degrees at 4.6 m and left 45 degrees at 10.7 m, and meets the
  // main at (-0.313, -19.72) after 21 m.
  Notes notes;
  notes.house = {{0, 0}, {9, 0}, {9, 8}, {0, 8}};
  notes.curb = {{-12, -12.5}, {20, -12.5}};
  notes.right_of_way = {{-12, -9}, {20, -9}};
  notes.main = {{-12, -19.72}, {20, -19.72}};
  notes.tree = {1.2, -7.4};
  notes.access = {4, -0.5};
  notes.drop = 1.9;
  notes.sonde_behind_lens = 0.28;
  notes.log = {{0, "pipe: 4 in cast iron", {}},
               {4.6, "", 45},
               {6.0, "pipe: 6 in clay", {}},
               {9.9, "see: roots at a joint, act: dig", {}},
               {10.7, "", -45},
               {17.0, "see: crack, act: watch", {}},
               {21.0, "end: city main", {}}};
  notes.locates = {{3.78, {4.03, -3.96}, 1.98, true},
                   {8.28, {1.66, -7.51}, 2.04, true},
                   {13.28, {-0.34, -11.72}, 2.10, false},
                   {18.78, {-0.29, -17.20}, 2.21, false}};
  return notes;
}

Notes mapped(Notes notes, const std::function<PlanPoint(PlanPoint)>& map) {
  for (auto* points : {&notes.house, &notes.curb, &notes.right_of_way, &notes.main}) {
    for (auto& p : *points) {
      p = map(p);
    }
  }
  notes.tree = map(notes.tree);
  notes.access = map(notes.access);
  if (notes.end) {
    notes.end = map(*notes.end);
  }
  for (auto& line : notes.locates) {
    line.position = map(line.position);
  }
  return notes;
}

std::string job_text(const Notes& notes) {
  return Writer(notes).text();
}

}  // namespace swingtie
