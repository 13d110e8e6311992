#include "exchange/json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "exchange/json_text.hpp"
#include "exchange/words.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

using Json = nlohmann::ordered_json;

class Writer {
 public:
  explicit Writer(const JobFindings& job)
      : job_(job),
        placed_(*job.placed),
        findings_(*job.findings),
        unit_(metres_per(placed_.unit)),
        coordinate_unit_(metres_per_coordinate(placed_)) {}

  Json whole() const {
    Json all;
    all["swingtie"] = 1;
    all["units"] = unit_word(placed_.unit);
    all["site"] = site();
    all["verdict"] = verdict();
    all["statistics"] = statistics();
    all["lines"] = list(findings_.lines, &Writer::line);
    all["items"] = list(findings_.items, &Writer::item);
    all["crossings"] = list(findings_.crossings, &Writer::crossing);
    all["explanations"] = list(findings_.explanations, &Writer::explanation);
    all["alternatives"] = alternatives();
    all["dig"] = list(findings_.digs, &Writer::dig);
    all["next_locates"] = list(findings_.next_locates, &Writer::next_locate);
    all["along_limits"] = list(findings_.along_limits, &Writer::along_limit);
    all["sides"] = list(findings_.sides, &Writer::side);
    all["ties"] = list(findings_.tie_sets, &Writer::tie_set);
    all["locates"] = list(findings_.locates, &Writer::locate);
    all["grades"] = list(findings_.grades, &Writer::grade);
    all["trees"] = list(findings_.trees, &Writer::tree);
    all["separations"] = list(findings_.separations, &Writer::separation);
    all["fittings"] = list(findings_.fittings, &Writer::fitting);
    all["follow_ups"] = list(findings_.follow_ups, &Writer::follow_up);
    all["runs"] = list(placed_.runs, &Writer::run);
    all["remarks"] = list(findings_.remarks, &Writer::remark);
    all["cautions"] = findings_.cautions;
    return all;
  }

 private:
  template <class T>
  Json list(const std::vector<T>& things, Json (Writer::*make)(const T&) const) const {
    Json all = Json::array();
    for (const T& thing : things) all.push_back((this->*make)(thing));
    return all;
  }

  static Json number(double value, int decimals) {
    return std::isfinite(value) ? Json(fixed(value, decimals)) : Json(nullptr);
  }
  Json length(double metres) const { return number(metres / unit_, 4); }
  Json length(const std::optional<double>& metres) const { return metres ? length(*metres) : Json(nullptr); }
  Json coordinate(double metres) const { return number(metres / coordinate_unit_, 4); }
  static Json probability(double p) { return number(p, 4); }
  static Json probability(const std::optional<double>& p) { return p ? probability(*p) : Json(nullptr); }
  static Json angle(double radians) { return number(radians / degree, 2); }
  /// An azimuth in [0, 360).
  static Json azimuth_of(Azimuth a) {
    const double turn = std::fmod(std::fmod(a.radians / degree, 360.0) + 360.0, 360.0);
    const double printed = fixed(turn, 2);
    return printed >= 360.0 ? Json(0.0) : Json(printed);
  }
  Json interval(const Interval& i) const { return Json::array({length(i.low), length(i.high)}); }
  Json point(PlanPoint p) const { return Json::array({coordinate(p.e), coordinate(p.n)}); }
  Json ellipse(const ErrorEllipse& e) const {
    return {{"major", length(e.semi_major)}, {"minor", length(e.semi_minor)}, {"azimuth", azimuth_of(e.major_axis)}};
  }
  void put_position(Json& into, PlanPoint p) const {
    into["e"] = coordinate(p.e);
    into["n"] = coordinate(p.n);
  }

  template <class Ring>
  Json closed_ring(const Ring& ring) const {
    Json all = Json::array();
    for (const PlanPoint& p : ring) all.push_back(point(p));
    if (!all.empty()) all.push_back(all.front());
    return all;
  }
  template <class Ring>
  Json polygon(const Ring& ring) const {
    return {{"type", "Polygon"}, {"coordinates", Json::array({closed_ring(ring)})}};
  }
  /// A Polygon; a MultiPolygon where the region has several parts.
  Json region(const Region& rings) const {
    if (rings.size() == 1) return polygon(rings.front());
    Json parts = Json::array();
    for (const auto& ring : rings) parts.push_back(Json::array({closed_ring(ring)}));
    if (rings.empty()) return {{"type", "Polygon"}, {"coordinates", std::move(parts)}};
    return {{"type", "MultiPolygon"}, {"coordinates", std::move(parts)}};
  }

  const std::string& line_id(std::size_t i) const { return placed_.lines.at(i).id; }
  const std::string& run_id(std::size_t i) const { return placed_.runs.at(i).id; }
  const Feature& feature(std::size_t i) const { return placed_.features.at(i); }

  Json site() const {
    Json all{{"job", job_.name}, {"name", placed_.site_name}, {"inspected", placed_.inspected}, {"by", placed_.by}};
    all["crs"] = placed_.crs.empty() ? Json(nullptr) : Json(placed_.crs);
    all["metres_per_unit"] = unit_;
    all["metres_per_coordinate"] = coordinate_unit_;
    // Every region and ellipse is against the drawing; this is how the drawing may lie on its grid.
    all["grid95"] = ellipse(error_ellipse(placed_.frame_shift, 0.95));
    all["ownership"] = {{"private_until", spelled(placed_.ownership.until)},
                        {"source", placed_.ownership.source},
                        {"says", findings_.ownership.says}};
    all["rules"] = {{"name", findings_.rules.name},
                    {"title", findings_.rules.title},
                    {"says", findings_.rules.says},
                    {"tolerance_zone", length(findings_.rules.tolerance_zone)},
                    {"spoil_setback", length(findings_.rules.spoil_setback)}};
    all["facing"] = azimuth_of(findings_.viewer.facing);
    return all;
  }

  Json verdict() const {
    const Verdict& v = findings_.verdict;
    return {{"kind", word(v.kind)}, {"chi_square", number(v.chi_square, 3)}, {"readings", v.readings}};
  }

  Json statistics() const {
    const SolveStatistics& s = findings_.statistics;
    return {{"solves", s.solves}, {"sets_tried", s.sets_tried}, {"condition", number(s.condition, 1)}};
  }

  Json station(const StationFinding& s) const {
    Json all{{"station", length(s.station.metres)}};
    put_position(all, plan(s.at));
    all["depth"] = length(s.depth);
    all["depth95"] = interval(s.depth95);
    all["ellipse95"] = ellipse(s.ellipse95);
    if (s.elevation) all["elevation"] = length(s.elevation);
    all["across95"] = length(s.across95);
    all["within_tolerance"] = s.within_tolerance;
    all["basis"] = word(s.knowledge);
    return all;
  }

  Json line(const LineFinding& l) const {
    Json all{{"id", l.id}, {"length", length(l.length)}, {"length95", interval(l.length95)}};
    all["stations"] = list(l.stations, &Writer::station);
    all["corridor95"] = region(l.corridor95);
    Json pipes = Json::array();
    for (const PipeStretch& p : l.pipes)
      pipes.push_back({{"from", length(p.from.metres)},
                       {"to", length(p.to.metres)},
                       {"pipe", p.pipe.words},
                       {"material", material_name(p.pipe.material)},
                       {"diameter_mm", p.pipe.size > 0 ? number(p.pipe.size * 1000.0, 1) : Json(nullptr)}});
    all["pipes"] = std::move(pipes);
    return all;
  }

  Json above(const Above& a) const {
    return {{"feature", feature(a.feature).id},
            {"relation", a.relation},
            {"probability", probability(a.probability)},
            {"distance", length(a.distance)},
            {"distance95", interval(a.distance95)}};
  }

  Json item(const ItemFinding& i) const {
    Json all{{"run", run_id(i.run)},
             {"at", length(i.at.metres)},
             {"line", line_id(i.line)},
             {"station", length(i.station.metres)},
             {"station95", interval(i.station95)},
             {"what", i.what},
             {"act", spelled(i.act)}};
    put_position(all, plan(i.position));
    all["region95"] = region(i.region95);
    all["ellipse95"] = ellipse(i.ellipse95);
    all["depth"] = length(i.depth);
    all["depth95"] = interval(i.depth95);
    all["private_probability"] = probability(i.private_probability);
    all["above"] = list(i.above, &Writer::above);
    all["says"] = i.says;
    all["marked"] = i.marked;
    return all;
  }

  Json crossing(const Crossing& c) const {
    Json all{{"feature", feature(c.feature).id},
             {"kind", spelled(feature(c.feature).kind)},
             {"line", line_id(c.line)},
             {"probability", probability(c.probability)},
             {"station", length(c.station.metres)},
             {"station95", interval(c.station95)}};
    put_position(all, plan(c.position));
    all["ellipse95"] = ellipse(c.ellipse95);
    all["depth"] = length(c.depth);
    all["depth95"] = interval(c.depth95);
    all["limit"] = c.limit;
    all["inward"] = c.inward;
    all["straightened"] = c.straightened;
    all["says"] = c.says;
    return all;
  }

  Json explanation(const ExplanationFinding& x) const {
    Json all{{"run", run_id(x.run)},
             {"what", x.what},
             {"at", length(x.at.metres)},
             {"probability", probability(x.probability)},
             {"says", x.says}};
    if (x.span.line > 0) all["job_line"] = x.span.line;
    return all;
  }

  Json alternatives() const {
    Json all = Json::array();
    for (const LineFinding& l : findings_.lines)
      for (const RouteAlternative& a : l.alternatives) {
        Json route = Json::array();
        for (const SitePoint& p : a.route) route.push_back(point(plan(p)));
        all.push_back({{"line", l.id},
                       {"probability", probability(a.probability)},
                       {"because", a.because},
                       {"route", std::move(route)}});
      }
    return all;
  }

  Json along_limit(const AlongLimit& a) const {
    return {{"feature", feature(a.feature).id},
            {"line", line_id(a.line)},
            {"from", length(a.from.metres)},
            {"to", length(a.to.metres)},
            {"says", a.says}};
  }

  Json separation(const SeparationFinding& s) const {
    return {{"feature", feature(s.feature).id},
            {"line", line_id(s.line)},
            {"distance", length(s.distance)},
            {"distance95", interval(s.distance95)},
            {"nearest_station", length(s.nearest.metres)},
            {"crosses_probability", probability(s.crosses_probability)},
            {"wanted", length(s.wanted)},
            {"closer_probability", probability(s.closer_probability)},
            {"vertical", length(s.vertical)},
            {"says", s.says}};
  }

  Json fitting(const FittingFinding& f) const {
    // A turn is an angle, anything else of this list a length of pipe.
    const bool turn = f.what == "direction change";
    const auto figure = [&](double value) { return turn ? angle(value) : length(value); };
    return {{"line", line_id(f.line)},
            {"what", f.what},
            {"from", length(f.from.metres)},
            {"to", length(f.to.metres)},
            {"value", figure(f.value)},
            {"published", figure(f.table)},
            {"says", f.says}};
  }

  Json follow_up(const FollowUp& f) const {
    const ItemFinding& i = findings_.items.at(f.item);
    return {{"run", run_id(i.run)}, {"at", length(i.at.metres)}, {"what", f.what}, {"from", f.from}, {"to", f.to},
            {"says", f.says}};
  }

  Json tie(const SwingTie& t) const {
    Json all{{"from", t.from},
             {"distance", length(t.distance)},
             {"distance95", interval(t.distance95)},
             {"says", t.says},
             {"tape", t.tape},
             {"check", t.check}};
    put_position(all, t.fixed);
    return all;
  }

  Json tie_set(const TieSet& s) const {
    Json all{{"of", s.of}};
    put_position(all, s.target);
    all["ties"] = list(s.ties, &Writer::tie);
    all["side"] = s.side;
    all["check_tolerance"] = length(s.check_tolerance);
    all["finder_radius95"] = length(s.finder_radius95);
    all["offset"] = s.offset_words;
    return all;
  }

  Json nearby(const NearbyItem& n) const {
    const ItemFinding& i = findings_.items[n.item];
    return {{"run", placed_.runs[i.run].id},
            {"at", length(i.at.metres)},
            {"away", length(n.away)},
            {"away95", interval(n.away95)}};
  }

  Json footprint(const Footprint& f) const {
    return {{"sides", f.sides},
            {"applies", f.applies},
            {"slope", number(f.slope, 3)},
            {"length", length(f.length)},
            {"width", length(f.width)},
            {"volume", number(f.volume / (unit_ * unit_ * unit_), 4)},
            {"spoil_setback", length(f.spoil_setback)},
            {"outline", polygon(f.outline)}};
  }

  Json conflict(const Conflict& c) const {
    return {{"feature", feature(c.feature).id}, {"what", c.what}, {"share", probability(c.share)}, {"says", c.says}};
  }

  Json dig(const DigFinding& d) const {
    const ItemFinding& i = findings_.items.at(d.item);
    Json all{{"run", run_id(i.run)}, {"at", length(i.at.metres)}, {"line", line_id(i.line)}, {"what", i.what}};
    put_position(all, plan(d.position));
    all["window"] = polygon(d.window);
    all["window_length"] = length(d.window_length);
    all["window_width"] = length(d.window_width);
    all["azimuth"] = azimuth_of(d.along);
    all["wanted_probability"] = probability(d.wanted_probability);
    all["contains_probability"] = probability(d.contains_probability);
    all["bottom"] = polygon(d.bottom);
    all["depth"] = length(i.depth);
    all["depth95"] = interval(i.depth95);
    all["depth_to_top"] = length(d.depth_to_top);
    all["depth_to_top95"] = interval(d.depth_to_top95);
    all["depth_to_invert"] = length(d.depth_to_invert);
    all["depth_to_invert95"] = interval(d.depth_to_invert95);
    all["ties"] = list(d.ties.ties, &Writer::tie);
    all["side"] = d.ties.side;
    all["check_tolerance"] = length(d.ties.check_tolerance);
    all["finder_radius95"] = length(d.ties.finder_radius95);
    all["offset"] = d.ties.offset_words;
    all["hole_depth"] = length(d.hole_depth);
    all["machine_depth"] = length(d.machine_depth);
    if (!d.unfit.empty()) all["unfit"] = d.unfit;
    all["pipe_inside"] = length(d.inside);
    all["pipe_outside"] = length(d.outside);
    all["soil"] = d.soil;
    all["footprints"] = list(d.footprints, &Writer::footprint);
    all["thresholds"] = d.thresholds;
    all["conflicts"] = list(d.conflicts, &Writer::conflict);
    all["box_conflicts"] = list(d.box_conflicts, &Writer::conflict);
    all["nearby"] = list(d.nearby, &Writer::nearby);
    all["marked"] = d.marked;
    return all;
  }

  Json next_locate(const NextLocate& n) const {
    const auto answer = [&](double value) { return n.by_probability ? probability(value) : length(value); };
    return {{"run", run_id(n.run)},     {"at", length(n.at.metres)},          {"for", n.question},
            {"now95", answer(n.now95)}, {"then95", answer(n.then95)},         {"enough", n.enough},
            {"helps", n.helps},         {"by_probability", n.by_probability}, {"says", n.says}};
  }

  Json side(const SideLength& s) const {
    return {{"line", line_id(s.line)},
            {"private", s.is_private},
            {"pipe", s.pipe},
            {"length", length(s.length)},
            {"length95", interval(s.length95)}};
  }

  Json locate(const LocateFinding& l) const {
    const Locate& written = placed_.runs.at(l.run).locates.at(l.locate);
    Json all{{"run", run_id(l.run)}, {"at", length(written.at.metres)}};
    put_position(all, l.read);
    all["adjusted"] = point(l.adjusted);
    all["along"] = length(l.along);
    all["across"] = length(l.across);
    all["depth_read"] = length(l.depth_read);
    all["depth_residual"] = length(l.depth_residual);
    all["wrong_probability"] = probability(l.wrong_probability);
    all["ellipse95"] = ellipse(l.ellipse95);
    return all;
  }

  Json grade(const GradeFinding& g) const {
    const auto rise = [](double per_length) { return number(per_length * 100.0, 3); };
    return {{"line", line_id(g.line)},
            {"from", length(g.from.metres)},
            {"to", length(g.to.metres)},
            {"percent", rise(g.grade)},
            {"percent95", Json::array({rise(g.grade95.low), rise(g.grade95.high)})},
            {"published_minimum_percent", g.published_minimum ? rise(*g.published_minimum) : Json(nullptr)},
            {"says", g.says}};
  }

  Json tree(const TreeFinding& t) const {
    return {{"feature", feature(t.feature).id},
            {"line", line_id(t.line)},
            {"distance", length(t.distance)},
            {"distance95", interval(t.distance95)},
            {"nearest_station", length(t.nearest.metres)},
            {"root_zone", length(t.root_zone)},
            {"inside_probability", probability(t.inside_probability)},
            {"closer_probability", probability(t.closer_probability)},
            {"says", t.says}};
  }

  Json run(const Run& r) const {
    Json all{{"id", r.id}, {"line", line_id(r.line)}, {"access", r.access_what}};
    put_position(all, r.access.at);
    all["drop"] = length(r.drop);
    all["toward"] = r.toward == Travel::toward_main ? "main" : "house";
    return all;
  }

  Json remark(const Diagnostic& d) const {
    Json all{{"severity", d.severity == Severity::error ? "error" : "warning"}, {"message", d.message}};
    if (!d.hint.empty()) all["hint"] = d.hint;
    if (d.at.line > 0) all["job_line"] = d.at.line;
    return all;
  }

  const JobFindings& job_;
  const Placed& placed_;
  const Findings& findings_;
  double unit_, coordinate_unit_;
};

}  // namespace

std::string write_json(const JobFindings& job) {
  return json_text(Writer(job).whole());
}

}  // namespace swingtie
