#include "findings/words/sentences.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <string_view>

#include "findings/dates.hpp"
#include "findings/phrases.hpp"
#include "findings/statistics.hpp"
#include "findings/ties.hpp"
#include "measure/bearing.hpp"
#include "measure/covariance.hpp"

namespace swingtie::words {

void Text::close() {
  if (!open_.empty()) out_ += open_ + "\n";
  open_.clear();
}

void Text::heading(const std::string& words) {
  close();
  out_ += (out_.empty() ? "" : "\n") + words + "\n";
  in_list_ = true;
}

void Text::paragraph(const std::string& sentence) {
  close();
  if (!out_.empty() && !in_list_) out_ += "\n";
  in_list_ = false;
  open_ = sentence;
}

void Text::sentence(const std::string& sentence) {
  if (sentence.empty()) return;
  open_ += open_.empty() ? sentence : " " + sentence;
}

void Text::bullet(const std::string& words) {
  close();
  out_ += "- " + words + "\n";
  in_list_ = false;
}

std::string Text::str() const {
  return out_ + (open_.empty() ? "" : open_ + "\n");
}

std::string title(const Placed& placed) {
  std::string out = placed.site_name.empty() ? "House sewer" : placed.site_name;
  if (!placed.inspected.empty()) out += ", inspected " + date_words(placed.inspected);
  if (!placed.by.empty()) out += " by " + placed.by;
  return out;
}

std::string likely(double probability) {
  const std::string number = " (" + percent(probability) + ")";
  if (probability > 0.99) return "almost certainly" + number;
  if (probability >= 0.95) return "very probably" + number;
  if (probability >= 0.80) return "probably" + number;
  if (probability > 0.60) return "more likely than not" + number;
  if (probability >= 0.40) return "about as likely as not" + number;
  if (probability > 0.20) return "less likely than not" + number;
  if (probability > 0.05) return "probably not" + number;
  return "very probably not" + number;
}

std::string capital(std::string words) {
  if (!words.empty()) words[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(words[0])));
  return words;
}

std::string stance(const Viewer& viewer) {
  if (viewer.from_street)
    return "Stand in the street and face the house: left and right below are yours, unless a wall is named.";
  return "No street is known to this job: stand at the main end of the line and face the house; left and right below "
         "are yours, unless a wall is named.";
}

namespace {

/// `S 56° W`: to the degree, as a finder with a compass can use.
std::string grid_bearing(Azimuth along) {
  const double turn = std::fmod(std::fmod(along.radians / degree, 360) + 360, 360);
  const int whole = static_cast<int>(std::lround(turn)) % 360;
  const bool north = whole <= 90 || whole >= 270;
  const int from_axis = whole <= 90 ? whole : whole <= 180 ? 180 - whole : whole < 270 ? whole - 180 : 360 - whole;
  if (from_axis == 0) return north ? "due north" : "due south";
  if (from_axis == 90) return whole < 180 ? "due east" : "due west";
  return fmt::format("{} {}° {}", north ? "N" : "S", from_axis, whole < 180 ? "E" : "W");
}

}  // namespace

std::string pipe_direction(const Placed& placed, const Viewer& viewer, Azimuth along) {
  const double turn = turn_between({viewer.facing.radians + pi}, along);
  const std::string bearing = grid_bearing(along);
  const int degrees = static_cast<int>(std::lround(std::abs(turn) / degree));
  const char* home = viewer.from_street ? "the street" : "the main";
  if (degrees <= 2) return fmt::format("straight toward {} (grid bearing {})", home, bearing);
  // Seen by the viewer, who faces the house: what turns right on the way out is on the left.
  const char* hand = turn > 0 ? "left" : "right";
  const std::string toward = fmt::format("{} {}", degrees <= 90 ? "toward" : "away from", home);
  // Two tape measures square to each other set the direction out where nobody has a compass.
  const double base = is_feet(placed.unit) ? 10 * metres_per(placed.unit) : 3.0;
  const double steep = std::abs(std::tan(turn));
  const std::string set_out =
      steep <= 1 || !std::isfinite(steep)
          ? fmt::format("for every {} straight {} it moves {} to the {}", tape(base, placed.unit), toward,
                        tape(steep * base, placed.unit), hand)
          : fmt::format("for every {} straight to the {} it moves {} {}", tape(base, placed.unit), hand,
                        tape(base / steep, placed.unit), toward);
  return fmt::format("{} and to the {}: {} ({}° off the straight way to {}, grid bearing {})", toward, hand, set_out,
                     degrees, home, bearing);
}

std::string ties(const Placed& placed, const TieSet& set) {
  constexpr double shows_small_errors = 0.3;
  if (set.ties.size() < 2)
    return "No two fixed points are within reach of a tape: have the spot located again before digging.";
  std::string out = fmt::format("With two tapes: swing {} from {} and {} from {}; {}.", set.ties[0].tape,
                                set.ties[0].says, set.ties[1].tape, set.ties[1].says, set.side);
  if (set.ties.size() > 2)
    out += fmt::format(" Check: from {} it must be {}, within {}; if it is not, measure again{}.", set.ties[2].says,
                       set.ties[2].tape, tape(set.check_tolerance, placed.unit),
                       set.check_tolerance > shows_small_errors
                           ? " (this check shows a wrong side or corner, not a small error)"
                           : "");
  out += fmt::format(" Taped with care and level this puts you within {} of the point meant.",
                     tape(set.finder_radius95, placed.unit));
  return out;
}

std::string side(const ItemFinding& item) {
  if (!item.private_probability) return "whose it is, is not stated in this job";
  const double p = *item.private_probability;
  if (p >= 0.95) return "on the private side, " + likely(p);
  if (p <= 0.05) return "on the public side, " + likely(1 - p);
  return fmt::format("whose side it lies on cannot be told: private with {}, public with {}", percent(p),
                     percent(1 - p));
}

std::string open_sides(const Placed& placed, const Findings& findings) {
  std::vector<std::string> parts;
  for (const ItemFinding& item : findings.items)
    if (item.act != Act::none && item.side_is_open())
      parts.push_back(fmt::format("{} at {}station {} (private with {}, public with {})", item.what,
                                  on_line(findings, item), decimal(item.station.metres, placed.unit),
                                  percent(*item.private_probability), percent(1 - *item.private_probability)));
  if (parts.empty()) return {};
  return fmt::format(
      "WHOSE IT IS CANNOT BE TOLD from these readings for: {}. Nobody digs there before the owner and the city have "
      "agreed whose it is and who pays.",
      list_of(parts));
}

double radius95(const ErrorEllipse& ellipse) {
  return circle_radius(covariance_of(ellipse, 0.95), 0.95);
}

std::string spot(const Placed& placed, const Viewer& viewer, PlanPoint at) {
  return offset_words(placed, viewer, at);
}

namespace {

/// One line for all mistakes that are possible and do not carry the answer: they are for who checks the notes.
std::string less_likely(const Placed& placed, const Findings& findings) {
  struct Kind {
    std::string_view code, words;
  };
  static constexpr Kind kinds[] = {{"unlogged-bend", "a bend that nobody wrote down near"},
                                   {"wrong-locate", "a locate that is wrong at"},
                                   {"misread-counter", "a counter misread for the locate at"},
                                   {"wrong-hand", "a bend with the wrong hand at"},
                                   {"counter-zero", "a counter not zeroed or restarted at"}};
  std::vector<std::string> parts;
  double most = 0;
  for (const Kind& kind : kinds) {
    std::vector<const ExplanationFinding*> rare;
    for (const ExplanationFinding& e : findings.explanations)
      if (e.what == kind.code && e.probability >= 0.05 && e.probability < 0.5) rare.push_back(&e);
    std::stable_sort(rare.begin(), rare.end(), [](const ExplanationFinding* a, const ExplanationFinding* b) {
      return a->run != b->run ? a->run < b->run : a->at < b->at;
    });
    std::vector<std::string> places;
    for (const ExplanationFinding* mistake : rare) {
      const ExplanationFinding& e = *mistake;
      std::string place = decimal(e.at.metres, placed.unit);
      if (placed.runs.size() > 1) place += " of run " + placed.runs[e.run].id;
      if (std::find(places.begin(), places.end(), place) == places.end()) places.push_back(std::move(place));
      most = std::max(most, e.probability);
    }
    if (!places.empty()) parts.push_back(fmt::format("{} {}", kind.words, list_of(places)));
  }
  if (parts.empty()) return {};
  return fmt::format(
      "Possible, though less likely, and allowed for in every figure here: {} on the cable ({} each at "
      "most).",
      list_of(parts), percent(most));
}

}  // namespace

std::vector<std::string> trust(const Placed& placed, const Findings& findings) {
  std::vector<std::string> out;
  switch (findings.verdict.kind) {
    case Verdict::Kind::agree:
      break;
    case Verdict::Kind::explained:
      out.push_back("The notes contradict each other as written. What explains that best is taken to be so:");
      break;
    case Verdict::Kind::contradiction:
      out.push_back(
          "The readings contradict each other and no single mistake explains them: do not dig by these figures "
          "before the spot is located again.");
      break;
  }
  for (const ExplanationFinding& e : findings.explanations) {
    if (e.probability < 0.5 || e.says.empty()) continue;
    std::string says = e.says;
    std::erase(says, '`');
    while (!says.empty() && (says.back() == '.' || says.back() == ' ')) says.pop_back();
    out.push_back(capital(says) + ".");
  }
  if (std::string rare = less_likely(placed, findings); !rare.empty()) out.push_back(std::move(rare));
  for (const LineFinding& line : findings.lines) {
    if (line.alternatives.size() < 2 || line.alternatives[1].probability < 0.05) continue;
    int courses = 0;
    double best = line.alternatives[0].probability;
    for (const RouteAlternative& a : line.alternatives) courses += a.probability >= 0.05 ? 1 : 0;
    out.push_back(
        fmt::format("{} courses of {} fit the readings; the best one has {}. Where they part, the areas stated here "
                    "allow for each by its share.",
                    courses, findings.lines.size() > 1 ? "line " + line.id : "the line", percent(best)));
  }
  return out;
}

std::string rests_on_rule(const Findings& findings) {
  if (findings.ownership.until.empty()) return {};
  return "Sides and percentages tell where the line lies, taking that rule as right; they do not tell who must pay.";
}

std::vector<std::string> met_by_box(const Placed& placed, const DigFinding& dig) {
  std::vector<std::string> met;
  for (const Conflict& conflict : dig.box_conflicts) {
    const Feature& feature = placed.features[conflict.feature];
    const bool tree = feature.kind == FeatureKind::tree;
    const bool plain = conflict.what == kind_name(feature.kind) || conflict.what == "structure";
    met.push_back((tree ? the_tree(feature) : the_name(feature)) + (plain ? "" : " (" + conflict.what + ")"));
  }
  return met;
}

std::string on_line(const Findings& findings, const ItemFinding& item) {
  if (findings.lines.size() < 2) return {};
  for (const LineFinding& line : findings.lines)
    if (line.line == item.line) return "line " + line.id + ", ";
  return {};
}

std::string volume(double cubic_metres, LengthUnit unit) {
  // 1 yd = 0.9144 m exactly.
  if (is_feet(unit)) return fmt::format("{:.0f} cu yd", std::ceil(cubic_metres / (0.9144 * 0.9144 * 0.9144)));
  return fmt::format("{:.0f} m³", std::ceil(cubic_metres));
}

void add_cautions(Text& text, const Findings& findings) {
  text.heading("CAUTIONS");
  for (const std::string& caution : findings.cautions) text.bullet(caution);
}

}  // namespace swingtie::words
