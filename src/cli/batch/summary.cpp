#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "cli/batch/batch.hpp"

namespace swingtie {
namespace {

namespace fs = std::filesystem;

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string all = "\"";
  for (const char c : text) {
    if (c == '"') all += '"';
    all += c;
  }
  return all + "\"";
}

std::string joined(const nlohmann::json& list) {
  std::string all;
  for (const nlohmann::json& element : list) {
    if (!element.is_string()) continue;
    if (!all.empty()) all += "; ";
    all += element.get<std::string>();
  }
  return all;
}

/// Of a message of several lines what it is about; the rest is in the record.
std::string first_line(const std::string& text) {
  return text.substr(0, text.find('\n'));
}

std::string field(const nlohmann::json& record, const char* key) {
  const auto found = record.find(key);
  if (found == record.end() || found->is_null()) return {};
  if (found->is_string()) return first_line(found->get<std::string>());
  if (found->is_array()) return joined(*found);
  return found->dump();
}

}  // namespace

std::string summary_csv(const std::string& folder) {
  std::vector<std::pair<std::string, std::string>> lines;
  std::error_code error;
  const char* const keys[] = {"job",     "path",  "result", "site",     "units",  "length",
                              "locates", "items", "digs",   "mistakes", "message"};
  for (fs::recursive_directory_iterator at(fs::path(folder) / ".swingtie", error), end; !error && at != end;
       at.increment(error)) {
    if (at->path().extension() != ".json") continue;
    std::ifstream file(at->path(), std::ios::binary);
    const nlohmann::json record = nlohmann::json::parse(file, nullptr, false);
    if (!record.is_object()) continue;
    std::string line;
    for (const char* key : keys) line += (line.empty() && key == keys[0] ? "" : ",") + csv_field(field(record, key));
    lines.emplace_back(field(record, "job"), std::move(line));
  }
  std::sort(lines.begin(), lines.end());
  std::string text;
  for (const char* key : keys) text += (text.empty() ? "" : ",") + std::string(key);
  text += "\r\n";
  for (const auto& [job, line] : lines) text += line + "\r\n";
  return text;
}

}  // namespace swingtie
