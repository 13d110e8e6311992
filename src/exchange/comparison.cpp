#include "exchange/comparison.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "exchange/json_text.hpp"
#include "exchange/table.hpp"
#include "exchange/words.hpp"

namespace swingtie {
namespace {

using Json = nlohmann::ordered_json;

const char* word_of(Change change) {
  switch (change) {
    case Change::same:
      return "same";
    case Change::grown:
      return "grown";
    case Change::lessened:
      return "lessened";
    case Change::appeared:
      return "appeared";
    case Change::gone:
      return "gone";
    case Change::unseen:
      break;
  }
  return "unseen";
}

}  // namespace

std::string write_json(const Placed& later, const Comparison& comparison) {
  const double unit = metres_per(later.unit);
  const auto number = [](double value) { return std::isfinite(value) ? Json(fixed(value, 4)) : Json(nullptr); };
  const auto seen = [&](const std::optional<CounterReading>& at, const std::string& what) {
    return at ? Json{{"at", number(at->metres / unit)}, {"what", what}} : Json(nullptr);
  };
  Json all{{"swingtie", 1},
           {"units", unit_word(later.unit)},
           {"earlier", comparison.earlier_inspected},
           {"later", comparison.later_inspected},
           {"counter_shift", number(comparison.counter_shift / unit)},
           {"moved", comparison.moved},
           {"fit", number(comparison.fit / unit)},
           {"changes", Json::array()},
           {"remarks", Json::array()}};
  for (const ItemChange& c : comparison.changes)
    all["changes"].push_back(
        {{"change", word_of(c.change)},
         {"line", later.lines.at(c.line).id},
         {"station", number(c.station.metres / unit)},
         {"station95", Json::array({number(c.station95.low / unit), number(c.station95.high / unit)})},
         {"earlier", seen(c.earlier_at, c.earlier_what)},
         {"later", seen(c.later_at, c.later_what)},
         {"probability", number(c.probability)},
         {"counter_shifted", c.counter_shifted},
         {"says", c.says}});
  for (const Diagnostic& remark : comparison.remarks) all["remarks"].push_back(remark.message);
  return json_text(all);
}

}  // namespace swingtie
