#include "place/readings_csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cstdlib>
#include <iterator>
#include <optional>

#include "measure/utf8.hpp"
#include "place/standard_errors.hpp"

namespace swingtie {
namespace {

using Cells = std::vector<std::string>;

std::string trimmed(std::string_view text) {
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front())) != 0) text.remove_prefix(1);
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back())) != 0) text.remove_suffix(1);
  return std::string(text);
}

/// The text of a cell on one line, as it will stand in a job or in a comment: line breaks and other control
/// characters become spaces.
std::string one_line(std::string_view cell) {
  std::string text = trimmed(cell);
  std::replace_if(
      text.begin(), text.end(),
      [](char c) { return static_cast<unsigned char>(c) < 0x20 || static_cast<unsigned char>(c) == 0x7F; }, ' ');
  return text;
}

/// Text that is not UTF-8 is taken as Windows-1252, in which spreadsheets on that system save unless told otherwise.
/// Source of the characters from 0x80 to 0x9F: the Unicode Consortium's mapping table CP1252.TXT 2.01.
std::string utf8_of(std::string_view bytes) {
  if (find_bad_utf8(bytes) == std::string_view::npos) return std::string(bytes);
  static constexpr char32_t own[32] = {0x20AC, 0xFFFD, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021,
                                       0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0xFFFD, 0x017D, 0xFFFD,
                                       0xFFFD, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014,
                                       0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0xFFFD, 0x017E, 0x0178};
  std::string text;
  for (const char c : bytes) {
    const auto byte = static_cast<unsigned char>(c);
    append_utf8(text, byte >= 0x80 && byte < 0xA0 ? own[byte - 0x80] : byte);
  }
  return text;
}

/// The delimiter that splits the first line into most cells.
char delimiter_of(std::string_view csv) {
  const std::string_view first = csv.substr(0, csv.find('\n'));
  const auto count = [&](char c) { return std::count(first.begin(), first.end(), c); };
  char best = ',';
  for (const char c : {';', '\t'}) {
    if (count(c) > count(best)) best = c;
  }
  return best;
}

/// Rows of a CSV text (RFC 4180): quoted cells may hold delimiters, quotes and line ends.
std::vector<Cells> rows_of(std::string_view csv, char delimiter) {
  std::vector<Cells> rows;
  Cells row;
  std::string cell;
  bool quoted = false;
  const auto end_cell = [&] {
    row.push_back(one_line(cell));
    cell.clear();
  };
  const auto end_row = [&] {
    end_cell();
    rows.push_back(std::move(row));
    row.clear();
  };
  for (std::size_t i = 0; i < csv.size(); ++i) {
    const char c = csv[i];
    if (quoted) {
      if (c == '"' && i + 1 < csv.size() && csv[i + 1] == '"') {
        cell += csv[++i];
      } else if (c == '"') {
        quoted = false;
      } else {
        cell += c;
      }
    } else if (c == '"' && trimmed(cell).empty()) {
      cell.clear();
      quoted = true;
    } else if (c == delimiter) {
      end_cell();
    } else if (c == '\n') {
      end_row();
    } else if (c != '\r') {
      cell += c;
    }
  }
  if (!cell.empty() || !row.empty()) end_row();
  return rows;
}

enum class Column {
  counter,
  see,
  joint,
  pipe,
  size,
  bend,
  act,
  end,
  photo,
  note,
  lat,
  lon,
  easting,
  northing,
  depth,
  within,
  accuracy
};

struct ColumnWord {
  std::string_view word;
  Column column;
};
constexpr ColumnWord column_words[] = {
    {"counter", Column::counter},  {"distance", Column::counter},  {"dist", Column::counter},
    {"footage", Column::counter},  {"reading", Column::counter},   {"at", Column::counter},
    {"cable", Column::counter},    {"see", Column::see},           {"observation", Column::see},
    {"observations", Column::see}, {"finding", Column::see},       {"defect", Column::see},
    {"description", Column::see},  {"remark", Column::see},        {"remarks", Column::see},
    {"comment", Column::see},      {"comments", Column::see},      {"joint", Column::joint},
    {"pipe", Column::pipe},        {"material", Column::pipe},     {"size", Column::size},
    {"diameter", Column::size},    {"dia", Column::size},          {"bend", Column::bend},
    {"turn", Column::bend},        {"act", Column::act},           {"action", Column::act},
    {"end", Column::end},          {"photo", Column::photo},       {"image", Column::photo},
    {"picture", Column::photo},    {"note", Column::note},         {"notes", Column::note},
    {"lat", Column::lat},          {"latitude", Column::lat},      {"lon", Column::lon},
    {"lng", Column::lon},          {"long", Column::lon},          {"longitude", Column::lon},
    {"easting", Column::easting},  {"east", Column::easting},      {"e", Column::easting},
    {"x", Column::easting},        {"northing", Column::northing}, {"north", Column::northing},
    {"n", Column::northing},       {"y", Column::northing},        {"depth", Column::depth},
    {"within", Column::within},    {"within95", Column::within},   {"accuracy", Column::accuracy},
    {"acc", Column::accuracy},     {"hrms", Column::accuracy},     {"precision", Column::accuracy}};

struct Header {
  std::optional<Column> column;
  std::string unit;  ///< as the job file spells it; may be empty
};

std::string unit_of(std::string_view word) {
  for (const std::string_view feet : {"ft", "feet", "foot", "f"}) {
    if (word == feet) return "ft";
  }
  for (const std::string_view metres : {"m", "metre", "metres", "meter", "meters"}) {
    if (word == metres) return "m";
  }
  for (const std::string_view inches : {"in", "inch", "inches"}) {
    if (word == inches) return "in";
  }
  for (const std::string_view other : {"mm", "cm"}) {
    if (word == other) return std::string(other);
  }
  return {};
}

/// `Distance (ft)`, `depth_m`, `Counter`: the first word that means a column, the last that means a unit.
Header header_of(std::string_view text) {
  std::vector<std::string> words(1);
  for (const char c : text) {
    if (std::isalnum(static_cast<unsigned char>(c)) != 0) {
      words.back() += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else if (!words.back().empty()) {
      words.emplace_back();
    }
  }
  Header header;
  for (const std::string& word : words) {
    const auto found = std::find_if(std::begin(column_words), std::end(column_words),
                                    [&](const ColumnWord& w) { return w.word == word; });
    if (!header.column && found != std::end(column_words)) {
      header.column = found->column;
    } else if (const std::string unit = unit_of(word); !unit.empty()) {
      header.unit = unit;
    }
  }
  // A column that is only called by its unit is the counter: `Feet`.
  if (!header.column && !header.unit.empty() && words.size() == 1) header.column = Column::counter;
  return header;
}

std::optional<double> plain_number(std::string text, bool decimal_comma) {
  if (decimal_comma) std::replace(text.begin(), text.end(), ',', '.');
  char* end = nullptr;
  const double value = std::strtod(text.c_str(), &end);
  return end != text.c_str() && *end == '\0' ? std::optional(value) : std::nullopt;
}

/// A text as a YAML value on one line: quoted unless it is made of harmless characters.
std::string yaml_text(std::string_view text) {
  const bool plain = !text.empty() && std::isalpha(static_cast<unsigned char>(text.front())) != 0 &&
                     std::all_of(text.begin(), text.end(), [](unsigned char c) {
                       return std::isalnum(c) != 0 || c == ' ' || c == '.' || c == '/' || c == '-' || c == '_';
                     });
  if (plain) return std::string(text);
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') quoted += '\\';
    quoted += c;
  }
  return quoted + "\"";
}

class Table {
 public:
  explicit Table(std::string_view bytes) {
    const std::string text = utf8_of(bytes);
    std::string_view csv = text;
    if (csv.substr(0, 3) == "\xEF\xBB\xBF") csv.remove_prefix(3);
    const char delimiter = delimiter_of(csv);
    decimal_comma_ = delimiter == ';';
    rows_ = rows_of(csv, delimiter);
    if (rows_.empty()) return;
    for (const std::string& cell : rows_[0]) headers_.push_back(header_of(cell));
  }

  const std::vector<Cells>& rows() const { return rows_; }
  std::vector<std::string> ignored() const {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < headers_.size(); ++i) {
      if (!headers_[i].column && !rows_[0][i].empty()) names.push_back(rows_[0][i]);
    }
    return names;
  }
  bool has(Column column) const {
    return std::any_of(headers_.begin(), headers_.end(), [&](const Header& h) { return h.column == column; });
  }
  std::string text(const Cells& row, Column column) const {
    for (std::size_t i = 0; i < headers_.size() && i < row.size(); ++i) {
      if (headers_[i].column == column && !row[i].empty()) return row[i];
    }
    return {};
  }
  std::optional<double> number(const Cells& row, Column column) const {
    return plain_number(text(row, column), decimal_comma_);
  }
  /// A length as the job file writes it, with the unit of its header; empty where there is none.
  std::string length(const Cells& row, Column column) const {
    for (std::size_t i = 0; i < headers_.size() && i < row.size(); ++i) {
      if (headers_[i].column != column || row[i].empty()) continue;
      const auto value = plain_number(row[i], decimal_comma_);
      if (!value) return yaml_text(row[i]);
      return headers_[i].unit.empty() ? fmt::format("{}", *value) : fmt::format("{} {}", *value, headers_[i].unit);
    }
    return {};
  }
  std::string unit(Column column) const {
    for (const Header& h : headers_) {
      if (h.column == column) return h.unit;
    }
    return {};
  }

 private:
  std::vector<Cells> rows_;
  std::vector<Header> headers_;
  bool decimal_comma_ = false;
};

/// Makes the line of each row and puts them in the order of the counter.
template <class MakeLine>
CsvReadings readings(const Table& table, MakeLine make_line) {
  CsvReadings result;
  result.ignored = table.ignored();
  if (table.rows().empty() || !table.has(Column::counter)) {
    result.remarks.emplace_back("no column holds the counter: call one `counter`, `distance` or `footage`");
    return result;
  }
  std::vector<std::pair<double, std::string>> lines;
  for (std::size_t i = 1; i < table.rows().size(); ++i) {
    const Cells& row = table.rows()[i];
    if (std::all_of(row.begin(), row.end(), [](const std::string& cell) { return cell.empty(); })) continue;
    const auto counter = table.number(row, Column::counter);
    if (!counter) {
      result.remarks.push_back(
          fmt::format("row {}: `{}` is no counter reading", i + 1, table.text(row, Column::counter)));
      continue;
    }
    std::string fault;
    std::string line = make_line(row, fault);
    if (!fault.empty()) {
      result.remarks.push_back(fmt::format("row {}: {}", i + 1, fault));
    } else {
      lines.emplace_back(*counter, "{at: " + table.length(row, Column::counter) + line + "}");
    }
  }
  std::stable_sort(lines.begin(), lines.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (auto& [counter, line] : lines) result.lines.push_back(std::move(line));
  return result;
}

}  // namespace

CsvReadings log_of_csv(std::string_view csv) {
  const Table table(csv);
  return readings(table, [&](const Cells& row, std::string& fault) {
    std::string line;
    const auto put = [&](std::string_view key, const std::string& value) {
      if (!value.empty()) line += fmt::format(", {}: {}", key, value);
    };
    const std::string material = table.text(row, Column::pipe), size = table.length(row, Column::size);
    const auto text = [&](Column column) {
      const std::string value = table.text(row, column);
      return value.empty() ? value : yaml_text(value);
    };
    if (!material.empty()) {
      // A size of its own column without a unit is inches or millimetres, as pipes are sold.
      std::string nominal = size;
      if (const auto number = table.number(row, Column::size); number && table.unit(Column::size).empty())
        nominal = fmt::format("{} {}", *number, *number >= 40 ? "mm" : "in");
      put("pipe", nominal.empty() ? yaml_text(material) : yaml_text(nominal + " " + material));
    }
    put("bend", text(Column::bend));
    put("joint", text(Column::joint));
    put("see", text(Column::see));
    put("act", text(Column::act));
    put("end", text(Column::end));
    put("photo", text(Column::photo));
    put("note", text(Column::note));
    if (line.empty()) fault = "nothing stands beside the counter";
    return line;
  });
}

CsvReadings locates_of_csv(std::string_view csv) {
  const Table table(csv);
  return readings(table, [&](const Cells& row, std::string& fault) {
    std::string line;
    std::string within = table.length(row, Column::within);
    if (const auto accuracy = table.number(row, Column::accuracy); within.empty() && accuracy && *accuracy > 0) {
      const std::string unit = table.unit(Column::accuracy);
      within = fmt::format("{:.2f} {}", standard_errors::radius95_per_rms * *accuracy, unit.empty() ? "m" : unit);
    }
    const std::string suffix = within.empty() ? "" : ", within: " + within;
    const auto lat = table.number(row, Column::lat), lon = table.number(row, Column::lon);
    const std::string e = table.length(row, Column::easting), n = table.length(row, Column::northing);
    if (lat && lon) {
      line = fmt::format(", position: {{lat: {}, lon: {}{}}}", *lat, *lon, suffix);
    } else if (!e.empty() && !n.empty()) {
      line = within.empty() ? fmt::format(", position: [{}, {}]", e, n)
                            : fmt::format(", position: {{at: [{}, {}]{}}}", e, n, suffix);
    } else {
      fault = "no position: `lat` and `lon`, or `easting` and `northing`";
      return line;
    }
    if (const std::string depth = table.length(row, Column::depth); !depth.empty()) line += ", depth: " + depth;
    for (const auto& [key, column] :
         {std::pair{"note", Column::note}, {"note", Column::see}, {"photo", Column::photo}}) {
      const std::string value = table.text(row, column);
      if (!value.empty() && line.find(fmt::format(", {}: ", key)) == std::string::npos)
        line += fmt::format(", {}: {}", key, yaml_text(value));
    }
    return line;
  });
}

}  // namespace swingtie
