#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "job/yaml_tree.hpp"
#include "place/readings_csv.hpp"

// Any bytes as a spreadsheet of readings: each line made of it is one map of a job file, whatever stood in the cells.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace swingtie;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  for (const CsvReadings& readings : {log_of_csv(text), locates_of_csv(text)}) {
    std::string list;
    for (const std::string& line : readings.lines) list += "- " + line + "\n";
    if (list.empty() || list.size() > largest_job_bytes) continue;
    const Checked<YamlDocument> read = parse_yaml(list);
    if (!read.value || read.value->root->items.size() != readings.lines.size()) std::abort();
    for (const YamlNode* item : read.value->root->items)
      if (item->kind != YamlNode::Kind::map) std::abort();
    // These stand in comments of the job, where a line break would let them out.
    for (const auto* words : {&readings.remarks, &readings.ignored})
      for (const std::string& said : *words)
        if (said.find('\n') != std::string::npos || said.find('\r') != std::string::npos) std::abort();
  }
  return 0;
}
