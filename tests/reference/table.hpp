#pragma once

#include <fstream>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace swingtie::reference {

/// One row of a CSV of published values, by column name. Cells hold no commas or quotes.
class Row {
 public:
  Row(const std::vector<std::string>& names, const std::vector<std::string>& cells) {
    for (std::size_t i = 0; i < names.size() && i < cells.size(); ++i) cells_[names[i]] = cells[i];
  }
  const std::string& text(const std::string& name) const {
    const auto found = cells_.find(name);
    if (found == cells_.end()) throw std::runtime_error("no column " + name);
    return found->second;
  }
  bool empty(const std::string& name) const { return text(name).empty(); }
  double number(const std::string& name) const { return std::stod(text(name)); }

 private:
  std::map<std::string, std::string> cells_;
};

/// The rows of tests/reference/<name>. Lines that begin with # are notes.
inline std::vector<Row> table(const std::string& name) {
  std::ifstream file(std::string(SWINGTIE_REFERENCE_DIR) + "/" + name);
  if (!file) throw std::runtime_error("cannot open reference table " + name);
  const auto cells_of = [](const std::string& line) {
    std::vector<std::string> cells;
    std::stringstream stream(line);
    for (std::string cell; std::getline(stream, cell, ',');) cells.push_back(cell);
    if (!line.empty() && line.back() == ',') cells.emplace_back();
    return cells;
  };
  std::vector<std::string> names;
  std::vector<Row> rows;
  for (std::string line; std::getline(file, line);) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    if (line.empty() || line.front() == '#') continue;
    if (names.empty()) {
      names = cells_of(line);
    } else {
      rows.emplace_back(names, cells_of(line));
    }
  }
  return rows;
}

}  // namespace swingtie::reference
