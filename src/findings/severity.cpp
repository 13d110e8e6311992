#include "findings/severity.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdlib>
#include <string>
#include <utility>
#include <vector>

#include "measure/length.hpp"

namespace swingtie {
namespace {

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return out;
}

/// Words and numbers; `1/4`, `2.5` and `%` are words of their own.
std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < text.size();) {
    const auto is = [&](std::size_t k, auto&& test) {
      return k < text.size() && test(static_cast<unsigned char>(text[k]));
    };
    const auto digit = [](unsigned char c) { return std::isdigit(c) != 0 || c == '.' || c == '/'; };
    const auto letter = [](unsigned char c) { return std::isalpha(c) != 0 || c >= 0x80; };
    std::size_t j = i;
    if (is(i, [](unsigned char c) { return std::isdigit(c) != 0; }))
      while (is(j, digit)) ++j;
    else if (is(i, letter))
      while (is(j, letter)) ++j;
    else if (text[i] == '%' || text[i] == '"')
      j = i + 1;
    if (j > i) out.push_back(text.substr(i, j - i));
    i = std::max(j, i + 1);
  }
  return out;
}

/// `3`, `2.5`, `1/4`; nothing for any other word.
std::optional<double> number(const std::string& word) {
  if (word.empty() || std::isdigit(static_cast<unsigned char>(word[0])) == 0) return std::nullopt;
  char* end = nullptr;
  const double value = std::strtod(word.c_str(), &end);
  if (*end == '/') {
    const double below = std::strtod(end + 1, nullptr);
    return below > 0 ? std::optional(value / below) : std::nullopt;
  }
  return value;
}

using Scaled = std::pair<std::string_view, double>;
constexpr std::array<Scaled, 7> units{{{"in", metres_per_inch},
                                       {"inch", metres_per_inch},
                                       {"inches", metres_per_inch},
                                       {"\"", metres_per_inch},
                                       {"mm", 0.001},
                                       {"cm", 0.01},
                                       {"ft", metres_per_foot}}};
constexpr std::array<Scaled, 9> shares{{{"half", 0.5},
                                        {"third", 1.0 / 3},
                                        {"thirds", 2.0 / 3},
                                        {"quarter", 0.25},
                                        {"quarters", 0.75},
                                        {"fifth", 0.2},
                                        {"tenth", 0.1},
                                        {"full", 1.0},
                                        {"fill", 1.0}}};
constexpr std::array<Scaled, 17> grades{{{"hairline", 0.5},
                                         {"fine", 1},
                                         {"slight", 1},
                                         {"light", 1},
                                         {"small", 1},
                                         {"minor", 1},
                                         {"thin", 1},
                                         {"tight", 1},
                                         {"medium", 2},
                                         {"moderate", 2},
                                         {"open", 2},
                                         {"heavy", 3},
                                         {"large", 3},
                                         {"severe", 3},
                                         {"major", 3},
                                         {"thick", 3},
                                         {"collapsed", 4}}};

template <std::size_t n>
std::optional<double> look_up(const std::array<Scaled, n>& table, const std::string& word) {
  const auto found = std::find_if(table.begin(), table.end(), [&](const Scaled& row) { return row.first == word; });
  return found == table.end() ? std::nullopt : std::optional(found->second);
}

}  // namespace

std::optional<NoteSize> note_size(std::string_view note) {
  const auto words = words_of(lower(note));
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    auto value = number(words[i]);
    if (!value) continue;
    std::size_t next = i + 1;
    // `1 1/4 in`
    if (const auto fraction = number(words[next]);
        fraction && words[next].find('/') != std::string::npos && next + 1 < words.size()) {
      value = *value + *fraction;
      ++next;
    }
    if (words[next] == "%" || words[next] == "percent") return NoteSize{NoteSize::Scale::share, *value / 100};
    if (const auto unit = look_up(units, words[next])) return NoteSize{NoteSize::Scale::length, *value * *unit};
  }
  for (const std::string& word : words)
    if (const auto share = look_up(shares, word)) return NoteSize{NoteSize::Scale::share, *share};
  for (const std::string& word : words)
    if (const auto grade = look_up(grades, word)) return NoteSize{NoteSize::Scale::word, *grade};
  return std::nullopt;
}

std::string_view note_kind(std::string_view note) {
  // What a thing is before what else is seen there: `roots through the joint` are roots.
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 21> kinds{
      {{"root", "roots"},
       {"belly", "belly"},
       {"sag", "belly"},
       {"standing water", "belly"},
       {"crack", "crack"},
       {"fracture", "crack"},
       {"hole", "hole"},
       {"void", "hole"},
       {"offset", "joint"},
       {"joint", "joint"},
       {"separat", "joint"},
       {"coupling", "joint"},
       {"blister", "out of round"},
       {"out of round", "out of round"},
       {"deform", "out of round"},
       {"grease", "deposit"},
       {"scale", "deposit"},
       {"deposit", "deposit"},
       {"sediment", "deposit"},
       {"channel", "wear"},
       {"rot", "wear"}}};
  const std::string text = lower(note);
  for (const auto& [word, kind] : kinds) {
    const std::size_t at = text.find(word);
    if (at == std::string::npos) continue;
    // `joint open, no roots` speaks of a joint.
    const bool denied =
        (at >= 3 && text.compare(at - 3, 3, "no ") == 0) || (at >= 8 && text.compare(at - 8, 8, "without ") == 0);
    if (!denied) return kind;
  }
  return {};
}

bool loses_ground(std::string_view note) {
  static constexpr std::array<std::string_view, 7> signs{"void",    "washing", "soil", "sand coming",
                                                         "missing", "collaps", "hole"};
  const std::string text = lower(note);
  return std::any_of(signs.begin(), signs.end(),
                     [&](std::string_view sign) { return text.find(sign) != std::string::npos; });
}

}  // namespace swingtie
