#include "sheet/tables.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <sstream>

#include "findings/phrases.hpp"
#include "findings/words.hpp"
#include "sheet/plan.hpp"

namespace swingtie {
namespace {

/// What was seen, with what is to be done about it before it.
std::string with_act(const ItemFinding& item) {
  return item.act == Act::dig ? "dig: " + item.what : item.act == Act::watch ? "watch: " + item.what : item.what;
}

void append(std::vector<Row>& to, std::vector<Row> more) {
  std::move(more.begin(), more.end(), std::back_inserter(to));
}

/// With a capital and a full stop, and without the marks that set off a name on a screen.
std::string sentence(std::string words) {
  std::erase(words, '`');
  if (words.empty()) return words;
  if (words[0] >= 'a' && words[0] <= 'z') words[0] = static_cast<char>(words[0] - 'a' + 'A');
  if (words.back() != '.') words += '.';
  return words;
}

/// Sentences as a list under a heading; empty sentences and repeats are left out.
BlockMaker sentences(const Drafting& d, std::string id, std::string title, std::vector<std::string> words) {
  return [&d, id = std::move(id), title = std::move(title), words = std::move(words)](double width) {
    Block block{id, title, {}, {}, false};
    std::vector<std::string> kept;
    for (const std::string& w : words) {
      if (!w.empty() && std::find(kept.begin(), kept.end(), sentence(w)) == kept.end()) kept.push_back(sentence(w));
    }
    block.rows = list(d, id, kept, "body", width);
    return block;
  };
}

Cells group(std::string words) {
  Cells out;
  out.cells = {std::move(words)};
  out.group = true;
  return out;
}

/// Over the rows of one push of the camera, since each has a counter of its own.
Cells group_of_run(const Drafting& d, std::size_t index) {
  const Run& run = d.placed.runs[index];
  return group(fmt::format("run {}{}, pushed {}", run.id, run.access_what.empty() ? "" : " (" + run.access_what + ")",
                           run.toward == Travel::toward_main ? "toward the main" : "toward the house"));
}

}  // namespace

BlockMaker items_block(const Drafting& d, bool sides, bool advice) {
  return [&d, sides, advice](double width) {
    Block block{"items", "WHAT WAS SEEN", {}, {}, false};
    const std::string unit = unit_name(d);
    std::vector<Column> columns = {{"", Align::right, false, "table-strong"},
                                   {"counter " + unit, Align::decimal, false, "table"},
                                   {"what", Align::left, true, "table"},
                                   {"depth " + unit + ", 95 %", Align::right, false, "table"}};
    if (sides) columns.push_back({"private", Align::right, false, "table"});
    std::vector<Cells> rows;
    std::optional<std::size_t> run;
    for (const std::size_t i : advice ? d.log_order : d.item_order) {
      const ItemFinding& item = d.findings.items[i];
      if (d.placed.runs.size() > 1 && run != item.run) rows.push_back(group_of_run(d, item.run));
      run = item.run;
      std::string counter = counter_text(d, item.at);
      counter.resize(counter.size() - unit.size() - 1);
      const bool numbered = d.item_numbers[i] > 0;
      const std::string key = numbered ? fmt::format("{}", d.item_numbers[i]) : "";
      Cells cells{numbered ? "row-item-" + key : "",
                  item.what,
                  numbered ? "#item-" + key : "",
                  {key, counter, with_act(item), bare_range(d, item.depth95)}};
      if (sides)
        cells.cells.push_back(item.private_probability ? short_percentage(*item.private_probability) : "not said");
      rows.push_back(std::move(cells));
    }
    set_table(d, block, width, columns, rows);
    return block;
  };
}

BlockMaker pipes_block(const Drafting& d) {
  return [&d](double width) {
    Block block{"pipes", "PIPE", {}, {}, false};
    std::vector<Cells> rows;
    const bool many = d.findings.lines.size() > 1;
    for (const LineFinding& line : d.findings.lines) {
      for (const PipeStretch& stretch : line.pipes) {
        Cells cells{"", "", "", {}};
        if (many) cells.cells.push_back(line.id);
        for (const std::string& s :
             {station_text(d, stretch.from), station_text(d, stretch.to), pipe_name(stretch.pipe, d.placed.unit)})
          cells.cells.push_back(s);
        rows.push_back(std::move(cells));
      }
    }
    std::vector<Column> columns = {{"from station", Align::right, false, "table"},
                                   {"to station", Align::right, false, "table"},
                                   {"size and material", Align::left, true, "table"}};
    if (many) columns.insert(columns.begin(), {"line", Align::left, false, "table"});
    set_table(d, block, width, columns, rows);
    block.rows.push_back(space_row(0.8));
    for (const LineFinding& line : d.findings.lines) {
      append(block.rows,
             paragraph(d, "length-" + name_of(line.id),
                       fmt::format("{} {} long on the level ({}).", many ? "Line " + line.id : "The line is",
                                   feet_or_metres(d, line.length), range(d, line.length95)),
                       "body", width));
    }
    return block;
  };
}

BlockMaker locates_block(const Drafting& d) {
  return [&d](double width) {
    Block block{"locates", "LOCATES", {}, {}, false};
    const std::string unit = unit_name(d);
    std::vector<Cells> rows;
    std::optional<std::size_t> run;
    for (std::size_t i = 0; i < d.findings.locates.size(); ++i) {
      const LocateFinding& locate = d.findings.locates[i];
      if (d.placed.runs.size() > 1 && run != locate.run) rows.push_back(group_of_run(d, locate.run));
      run = locate.run;
      const Locate& read = d.placed.runs[locate.run].locates[locate.locate];
      std::string counter = counter_text(d, read.at);
      counter.resize(counter.size() - unit.size() - 1);
      const auto signed_length = [&](double v) {
        std::string text = bare(d, v);
        return text[0] == '-' || text.find_first_of("123456789") == std::string::npos ? text : "+" + text;
      };
      std::string remark = read.marked;
      if (locate.wrong_probability > 0.05)
        remark =
            fmt::format("wrong: {}{}{}", percentage(locate.wrong_probability), remark.empty() ? "" : "; ", remark);
      rows.push_back({fmt::format("row-locate-{}", i + 1),
                      "",
                      fmt::format("#locate-{}", i + 1),
                      {counter, locate.depth_read ? bare(d, *locate.depth_read) : "–", signed_length(locate.along),
                       signed_length(locate.across), remark}});
    }
    set_table(d, block, width,
              {{"counter " + unit, Align::decimal, false, "table"},
               {"depth read " + unit, Align::right, false, "table"},
               {"off along " + unit, Align::right, false, "table"},
               {"off across " + unit, Align::right, false, "table"},
               {"marked, remarks", Align::left, true, "table"}},
              rows);
    if (rows.empty()) return block;
    block.rows.push_back(space_row(0.8));
    append(block.rows,
           paragraph(
               d, "locates-off",
               "Off: where the receiver stood, from the line as adjusted. Plus is toward the main, and to the right.",
               "body", width));
    return block;
  };
}

BlockMaker grades_block(const Drafting& d) {
  return [&d](double width) {
    Block block{"grades", "FALL", {}, {}, false};
    std::vector<Cells> rows;
    std::optional<std::size_t> of_line;
    for (const GradeFinding& g : d.findings.grades) {
      if (d.findings.lines.size() > 1 && of_line != g.line)
        rows.push_back(group("line " + d.placed.lines[g.line].id));
      of_line = g.line;
      rows.push_back({"",
                      g.says,
                      "",
                      {station_text(d, g.from), station_text(d, g.to), hundredths_of(g.grade),
                       hundredths_of(g.grade95.low) + " to " + hundredths_of(g.grade95.high),
                       g.published_minimum ? hundredths_of(*g.published_minimum) : "–"}});
    }
    set_table(d, block, width,
              {{"from station", Align::right, false, "table"},
               {"to station", Align::right, false, "table"},
               {"fall %", Align::right, false, "table"},
               {"95 % between", Align::right, false, "table"},
               {"code minimum %", Align::right, false, "table"}},
              rows);
    // In words each line as a whole and the stretches to worry about; the figures of the others are in the table.
    std::vector<std::string> says;
    std::optional<std::size_t> line;
    for (const GradeFinding& g : d.findings.grades) {
      const bool bad = g.grade95.high < std::max(0.0, g.published_minimum.value_or(0));
      if (!g.says.empty() && (line != g.line || bad)) says.push_back(sentence(g.says));
      line = g.line;
    }
    if (!says.empty()) block.rows.push_back(space_row(0.8));
    append(block.rows, list(d, "grade-says", says, "body", width));
    return block;
  };
}

BlockMaker crossings_block(const Drafting& d) {
  return [&d](double width) {
    Block block{"crossings", "WHERE THE LINE CROSSES", {}, {}, false};
    std::vector<Cells> rows;
    for (std::size_t i = 0; i < d.findings.crossings.size(); ++i) {
      const Crossing& c = d.findings.crossings[i];
      rows.push_back({fmt::format("row-crossing-{}", i + 1),
                      c.says,
                      fmt::format("#crossing-{}", i + 1),
                      {limit_name(d.placed, c.feature), station_text(d, c.station), bare_range(d, c.station95),
                       bare_range(d, c.depth95)}});
    }
    set_table(d, block, width,
              {{"", Align::left, true, "table-strong"},
               {"station", Align::right, false, "table-strong"},
               {"95 % between", Align::right, false, "table"},
               {"depth " + unit_name(d) + ", 95 %", Align::right, false, "table"}},
              rows);
    std::vector<std::string> says;
    for (const Crossing& c : d.findings.crossings) {
      if (c.limit || c.straightened || c.probability < 0.95) says.push_back(sentence(c.says));
    }
    for (const AlongLimit& a : d.findings.along_limits) says.push_back(sentence(a.says));
    std::erase(says, std::string());
    says.erase(std::unique(says.begin(), says.end()), says.end());
    if (!says.empty()) block.rows.push_back(space_row(0.8));
    append(block.rows, list(d, "crossing-says", says, "body", width));
    return block;
  };
}

BlockMaker sides_block(const Drafting& d) {
  return [&d](double width) {
    Block block{"sides", "PRIVATE AND PUBLIC LENGTHS", {}, {}, false};
    const bool many = d.findings.lines.size() > 1;
    std::vector<Cells> rows;
    for (const SideLength& side : d.findings.sides) {
      Cells cells{"",
                  "",
                  "",
                  {side.is_private ? "private" : "public", side.pipe.empty() ? "pipe not recorded" : side.pipe,
                   bare(d, side.length), bare_range(d, side.length95)}};
      if (many) cells.cells.insert(cells.cells.begin(), d.placed.lines[side.line].id);
      rows.push_back(std::move(cells));
    }
    std::vector<Column> columns = {{"side", Align::left, false, "table-strong"},
                                   {"pipe", Align::left, true, "table"},
                                   {"length " + unit_name(d), Align::right, false, "table"},
                                   {"95 % between", Align::right, false, "table"}};
    if (many) columns.insert(columns.begin(), {"line", Align::left, false, "table"});
    set_table(d, block, width, columns, rows);
    return block;
  };
}

namespace {

/// The tapes of one target as rows: letter, distance, what the tape is held on.
std::vector<Row> tie_rows(const Drafting& d, const TieSet& set, const std::string& id, double width, bool large) {
  std::vector<Row> rows;
  const std::string_view type = large ? "key-figure" : "body-strong";
  double letters = 0, distances = 0;
  for (const SwingTie& tie : set.ties) {
    letters = std::max(letters, d.type.width(tie_letter(d, tie.fixed), d.type_look("tie")));
    distances =
        std::max(distances, d.type.width(tie.tape.empty() ? taped(d, tie.distance) : tie.tape, d.type_look(type)));
  }
  for (const SwingTie& tie : set.ties) {
    Row row;
    row.height = 1.18 * d.em(type) + 0.5;
    const double x_distance = letters + 2.2, x_words = x_distance + distances + 2;
    const double y = 0.95 * d.em(type);
    Object object;
    object.id = id + "-from-" + name_of(tie.from);
    object.kind = "tie-row";
    object.role = Role::block;
    object.title = tie.says;
    Text distance_text = d.text(tie.tape.empty() ? taped(d, tie.distance) : tie.tape, type);
    object.marks.emplace_back(set_at(d.text(tie_letter(d, tie.fixed), "tie"), {0, y}));
    object.marks.emplace_back(set_at(std::move(distance_text), {x_distance + distances, y}, 1));
    const std::string words = give_or_take(d, tie.distance95) + "  " + tie.says + (tie.check ? " (check)" : "");
    std::vector<std::string> lines = d.type.wrap(words, d.type_look("body"), width - x_words);
    for (std::size_t k = 0; k < lines.size(); ++k) {
      object.marks.emplace_back(
          set_at(d.text(lines[k], "body"), {x_words, y + static_cast<double>(k) * leading(d, "body")}));
    }
    if (lines.size() > 1) row.height += static_cast<double>(lines.size() - 1) * leading(d, "body");
    row.objects = {std::move(object)};
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace

BlockMaker crossing_ties_block(const Drafting& d) {
  return [&d](double width) {
    Block block{"tie-sets", "SWING TIES", {}, {}, false};
    for (std::size_t i = 0; i < d.findings.tie_sets.size(); ++i) {
      const TieSet& set = d.findings.tie_sets[i];
      if (set.ties.empty()) continue;
      Row head = text_row(d, fmt::format("tie-set-{}", i + 1), set.of, "body-strong");
      head.keep_with_next = true;
      block.rows.push_back(std::move(head));
      // Whoever reads a tape off must not miss the next.
      for (Row& row : tie_rows(d, set, fmt::format("tie-set-{}", i + 1), width, false)) {
        row.keep_with_next = true;
        block.rows.push_back(std::move(row));
      }
      std::string words =
          fmt::format("The tapes put a finder within {} (95 %).", feet_or_metres(d, set.finder_radius95));
      if (!set.side.empty()) words = fmt::format("{} {}", sentence(set.side), words);
      append(block.rows, paragraph(d, fmt::format("tie-set-{}-words", i + 1), words, "body", width));
      block.rows.push_back(space_row(1));
    }
    return block;
  };
}

BlockMaker trees_block(const Drafting& d) {
  std::vector<std::string> says;
  for (const TreeFinding& tree : d.findings.trees) says.push_back(tree.says);
  return sentences(d, "trees-words", "TREES", std::move(says));
}

BlockMaker words_block(const Drafting& d, std::string_view section) {
  // The text for the buyer has its sections under lines in capitals, and empty lines between paragraphs.
  std::vector<std::string> paragraphs;
  bool inside_section = false;
  std::istringstream text(tell(d.placed, d.findings, Audience::buyer));
  for (std::string line; std::getline(text, line);) {
    const bool heading = !line.empty() && std::all_of(line.begin(), line.end(),
                                                      [](char c) { return c == ' ' || (c >= 'A' && c <= 'Z'); });
    if (heading) {
      inside_section = line == section;
    } else if (inside_section && !line.empty()) {
      paragraphs.push_back(line);
    }
  }
  return [&d, title = std::string(section), paragraphs](double width) {
    Block block{name_of(title), title, {}, {}, false};
    for (const std::string& words : paragraphs) {
      append(block.rows, paragraph(d, block.id + "-words", words, "body", width));
      block.rows.push_back(space_row(1.2));
    }
    return block;
  };
}

BlockMaker verdict_block(const Drafting& d) {
  std::vector<std::string> says;
  for (const ExplanationFinding& e : d.findings.explanations) says.push_back(e.says);
  for (const Diagnostic& remark : d.findings.remarks)
    says.push_back(remark.message + (remark.hint.empty() ? "" : ": " + remark.hint));
  return sentences(d, "verdict", "DO THE READINGS AGREE?", std::move(says));
}

BlockMaker ownership_block(const Drafting& d) {
  std::vector<std::string> says;
  const OwnershipFinding& o = d.findings.ownership;
  if (!o.says.empty()) {
    says.push_back(o.says);
  } else if (!o.until.empty()) {
    says.push_back("Private as far as " + o.until + " (" + o.source + ").");
  }
  return sentences(d, "ownership", "WHO OWNS WHAT", std::move(says));
}

BlockMaker separations_block(const Drafting& d) {
  std::vector<std::string> says;
  for (const SeparationFinding& s : d.findings.separations) says.push_back(s.says);
  for (const FittingFinding& f : d.findings.fittings) says.push_back(f.says);
  return sentences(d, "separations", "BESIDE OTHER SERVICES", std::move(says));
}

BlockMaker cautions_block(const Drafting& d) {
  return [&d](double width) {
    Block block{"cautions", "", {}, {}, true};
    constexpr double pad = 1.6;
    std::vector<Row> rows = {text_row(d, "cautions-head", "BEFORE YOU DIG", "heading", pad)};
    append(rows, [&] {
      std::vector<Row> lines = list(d, "caution", d.findings.cautions, "caution", width - 2 * pad);
      for (Row& row : lines) {
        for (Object& object : row.objects) move(object, pad, 0);
      }
      return lines;
    }());
    // One boxed piece, so that no caution is ever left behind on another sheet.
    Row whole;
    whole.height = 2 * pad;
    Object box;
    box.id = "cautions";
    box.kind = "cautions";
    box.role = Role::block;
    double y = pad;
    for (Row& row : rows) {
      for (Object& object : row.objects) {
        move(object, 0, y);
        std::move(object.marks.begin(), object.marks.end(), std::back_inserter(box.marks));
      }
      y += row.height;
      whole.height += row.height;
    }
    Path band;
    band.add_box({0.4, 0.4, width - 0.8, whole.height - 0.8});
    box.marks.insert(box.marks.begin(), drawn(std::move(band), d.look("caution-band")));
    whole.objects = {std::move(box)};
    block.rows = {std::move(whole)};
    return block;
  };
}

std::string geo_uri(const Placed& placed, PlanPoint at, double radius95) {
  if (!placed.georeference) return "";
  const LonLat p = placed.georeference->to_lon_lat(at);
  return fmt::format("geo:{:.7f},{:.7f};u={:.1f}", p.lat_deg, p.lon_deg,
                     circle_radius(on_earth(placed, at, on_grid(placed, covariance_within(radius95))), 0.95));
}

BlockMaker dig_card(const Drafting& d, std::size_t index) {
  const DigFinding& dig = d.findings.digs[index];
  return [&d, &dig, uri = geo_uri(d.placed, plan(dig.position), dig.ties.finder_radius95)](double width) {
    const ItemFinding& item = d.findings.items[dig.item];
    const std::size_t number = d.item_numbers[dig.item];
    Block block{fmt::format("card-dig-{}", number),
                fmt::format("DIG {}  AT {}", number, counter_text(d, item.at)),
                {},
                {},
                false};
    const std::string id = block.id;
    append(block.rows, paragraph(d, id + "-what", item.what, "body-strong", width));
    if (item.side_is_open())
      append(
          block.rows,
          paragraph(
              d, id + "-owner",
              fmt::format("DO NOT DIG YET: whose side this lies on cannot be told (private with {}, public with {}). "
                          "First the owner and the city agree whose it is and who pays.",
                          percentage(*item.private_probability), percentage(1 - *item.private_probability)),
              "body-strong", width));
    block.rows.push_back(space_row(0.6));

    // The figures one digs by, large; the code for a phone beside them.
    const double code = uri.empty() ? 0 : 21;
    Row figures;
    Object object;
    object.id = id + "-figures";
    object.kind = "dig-figures";
    object.role = Role::block;
    const double em = d.em("key-figure"), small = d.em("field");
    const std::array<std::array<std::string, 2>, 3> entries = {{
        {"top of pipe below ground, 95 %", range(d, dig.depth_to_top95)},
        {"window, along × across the pipe", taped(d, dig.window_length) + " × " + taped(d, dig.window_width)},
        {"the window holds the point with", percentage(dig.contains_probability)},
    }};
    double y = 0;
    for (const auto& [name, value] : entries) {
      object.marks.emplace_back(set_at(d.text(name, "field"), {0, y + 0.95 * small}));
      object.marks.emplace_back(set_at(d.text(value, "key-figure"), {0, y + 1.35 * small + 0.95 * em}));
      y += 1.35 * small + 1.25 * em + 0.6;
    }
    figures.height = std::max(y, code);
    figures.objects.push_back(std::move(object));
    if (code > 0) {
      // Drawn where the card has its place: the code costs more than all the words, and the layout tries many widths.
      figures.draw = [&d, uri, id, box = PaperBox{width - code, 0, code, code}](Row& row, auto&) {
        Object qr;
        qr.id = id + "-code";
        qr.kind = "geo-code";
        qr.role = Role::block;
        qr.title = uri;
        qr.link = uri;
        qr.marks = qr_code(uri, box, d.look("border").line.value_or(Colour{}));
        row.objects.push_back(std::move(qr));
      };
    }
    block.rows.push_back(std::move(figures));
    append(block.rows,
           paragraph(d, id + "-depths",
                     fmt::format("Best estimate: top {}, invert {} ({}). {}", feet_or_metres(d, dig.depth_to_top),
                                 feet_or_metres(d, dig.depth_to_invert), range(d, dig.depth_to_invert95),
                                 dig.hole_depth > 0
                                     ? "Plan the hole for " + feet_or_metres(d, dig.hole_depth) + "; " +
                                           (dig.machine_depth > 0
                                                ? "stop the machine at " + feet_or_metres(d, dig.machine_depth) +
                                                      ", then by hand or vacuum."
                                                : "by hand or vacuum from the surface.")
                                     : ""),
                     "body", width));
    block.rows.push_back(space_row(0.8));

    if (dig.ties.ties.empty()) {
      Row tapes = text_row(d, id + "-tapes", "TAPES", "table-head");
      tapes.keep_with_next = true;
      block.rows.push_back(std::move(tapes));
      std::string words =
          "No two fixed points are within reach of a tape: have the spot located again before digging.";
      if (!dig.ties.offset_words.empty()) words += " " + sentence("as a rough check: " + dig.ties.offset_words);
      append(block.rows, paragraph(d, id + "-finding", words, "body", width));
    } else {
      Row tapes = text_row(d, id + "-tapes", "TAPES, held level; the arcs meet over the point", "table-head");
      tapes.keep_with_next = true;
      block.rows.push_back(std::move(tapes));
      for (Row& row : tie_rows(d, dig.ties, id + "-tie", width, true)) {
        row.keep_with_next = true;
        block.rows.push_back(std::move(row));
      }
      std::string words;
      if (!dig.ties.side.empty()) words += sentence(dig.ties.side) + " ";
      words += fmt::format("The tapes put a finder within {} (95 %). ", feet_or_metres(d, dig.ties.finder_radius95));
      if (dig.ties.check_tolerance > 0)
        words += "The check tape should agree within " + plus_minus(d, dig.ties.check_tolerance) + ". ";
      if (!dig.ties.offset_words.empty()) words += sentence("or, as a rough check: " + dig.ties.offset_words);
      append(block.rows, paragraph(d, id + "-finding", words, "body", width));
    }
    std::vector<std::string> points;
    for (const std::string& m : dig.marked) points.push_back("Left on the ground: " + m + ".");
    if (!dig.unfit.empty()) points.push_back(dig.unfit);
    for (const Conflict& c : dig.conflicts) points.push_back(sentence(c.says));
    for (const std::string& t : dig.thresholds) points.push_back(sentence(t));
    if (!points.empty()) block.rows.push_back(space_row(0.8));
    append(block.rows, list(d, id + "-points", points, "body", width));

    std::vector<Cells> holes;
    for (const Footprint& f : dig.footprints) {
      if (!f.possible) continue;
      const double volume = is_feet(d.placed.unit) ? f.volume / (0.9144 * 0.9144 * 0.9144) : f.volume;
      holes.push_back({"",
                       "",
                       "",
                       {f.sides + (f.applies && f.slope > 0 ? ", taken here" : ""),
                        taped(d, f.length) + " × " + taped(d, f.width), fmt::format("{:.1f}", volume)}});
    }
    if (!holes.empty()) block.rows.push_back(space_row(0.8));
    Block table{id + "-holes", "", {}, {}, false};
    set_table(d, table, width,
              {{"sides", Align::left, true, "table"},
               {"hole at grade", Align::right, false, "table"},
               {is_feet(d.placed.unit) ? "yd³" : "m³", Align::right, false, "table"}},
              holes);
    append(block.rows, std::move(table.rows));
    return block;
  };
}

}  // namespace swingtie
