#include "findings/dates.hpp"

#include <fmt/format.h>

#include <array>
#include <chrono>

namespace swingtie {
namespace {

std::optional<std::chrono::year_month_day> parse(std::string_view date) {
  if (date.size() != 10 || date[4] != '-' || date[7] != '-') return std::nullopt;
  const auto digits = [&](std::size_t from, std::size_t count) -> int {
    int value = 0;
    for (std::size_t i = from; i < from + count; ++i) {
      if (date[i] < '0' || date[i] > '9') return -1;
      value = 10 * value + (date[i] - '0');
    }
    return value;
  };
  const int y = digits(0, 4), m = digits(5, 2), d = digits(8, 2);
  if (y < 1 || m < 1 || d < 1) return std::nullopt;
  const std::chrono::year_month_day out{std::chrono::year{y}, std::chrono::month{static_cast<unsigned>(m)},
                                        std::chrono::day{static_cast<unsigned>(d)}};
  return out.ok() ? std::optional(out) : std::nullopt;
}

}  // namespace

std::string months_later(std::string_view date, int months) {
  const auto from = parse(date);
  if (!from) return {};
  auto to = *from + std::chrono::months{months};
  if (!to.ok()) to = to.year() / to.month() / std::chrono::last;
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(to.year()), static_cast<unsigned>(to.month()),
                     static_cast<unsigned>(to.day()));
}

std::string date_words(std::string_view date) {
  static constexpr std::array months{"January", "February", "March",     "April",   "May",      "June",
                                     "July",    "August",   "September", "October", "November", "December"};
  const auto from = parse(date);
  if (!from) return std::string(date);
  return fmt::format("{} {} {}", static_cast<unsigned>(from->day()), months[static_cast<unsigned>(from->month()) - 1],
                     static_cast<int>(from->year()));
}

}  // namespace swingtie
