#include <algorithm>
#include <array>
#include <cctype>
#include <string>
#include <vector>

#include "place/placed.hpp"

namespace swingtie {
namespace {

struct MaterialWords {
  std::string_view phrase;  ///< lower case, words separated by one space
  Material material;
};

/// Longer phrases first, so that `ductile iron` is not taken for `iron`. Trade abbreviations: common practice, no
/// source.
constexpr std::array words = {
    MaterialWords{"asbestos cement", Material::asbestos_cement},
    MaterialWords{"transite", Material::asbestos_cement},
    MaterialWords{"fibre cement", Material::asbestos_cement},
    MaterialWords{"fiber cement", Material::asbestos_cement},
    MaterialWords{"acp", Material::asbestos_cement},
    MaterialWords{"ac pipe", Material::asbestos_cement},
    MaterialWords{"bituminous fibre", Material::orangeburg},
    MaterialWords{"bituminous fiber", Material::orangeburg},
    MaterialWords{"bituminised fibre", Material::orangeburg},
    MaterialWords{"bituminized fiber", Material::orangeburg},
    MaterialWords{"pitch fibre", Material::orangeburg},
    MaterialWords{"pitch fiber", Material::orangeburg},
    MaterialWords{"tar paper", Material::orangeburg},
    MaterialWords{"orangeburg", Material::orangeburg},
    MaterialWords{"orangeberg", Material::orangeburg},
    MaterialWords{"ductile iron", Material::ductile_iron},
    MaterialWords{"ductile", Material::ductile_iron},
    MaterialWords{"dip", Material::ductile_iron},
    MaterialWords{"cast iron", Material::cast_iron},
    MaterialWords{"cip", Material::cast_iron},
    MaterialWords{"ci", Material::cast_iron},
    MaterialWords{"iron", Material::cast_iron},
    MaterialWords{"vitrified clay", Material::clay},
    MaterialWords{"vitrified", Material::clay},
    MaterialWords{"clay", Material::clay},
    MaterialWords{"vcp", Material::clay},
    MaterialWords{"earthenware", Material::clay},
    MaterialWords{"terracotta", Material::clay},
    MaterialWords{"terra cotta", Material::clay},
    MaterialWords{"stoneware", Material::clay},
    MaterialWords{"polyethylene", Material::hdpe},
    MaterialWords{"hdpe", Material::hdpe},
    MaterialWords{"pe", Material::hdpe},
    MaterialWords{"polyvinyl chloride", Material::pvc},
    MaterialWords{"pvc", Material::pvc},
    MaterialWords{"upvc", Material::pvc},
    MaterialWords{"sdr", Material::pvc},
    MaterialWords{"abs", Material::abs},
    MaterialWords{"concrete", Material::concrete},
    MaterialWords{"rcp", Material::concrete},
    MaterialWords{"cement", Material::concrete},
    MaterialWords{"steel", Material::steel},
    MaterialWords{"lead", Material::lead},
};

/// Lower case, everything but letters turned to single spaces, a space at both ends.
std::string spaced_words(std::string_view text) {
  std::string result = " ";
  for (const char c : text) {
    const auto u = static_cast<unsigned char>(c);
    if (std::isalpha(u) != 0) {
      result += static_cast<char>(std::tolower(u));
    } else if (result.back() != ' ') {
      result += ' ';
    }
  }
  if (result.back() != ' ') result += ' ';
  return result;
}

}  // namespace

Material material_of(std::string_view text) {
  const std::string spaced = spaced_words(text);
  for (const MaterialWords& entry : words) {
    if (spaced.find(" " + std::string(entry.phrase) + " ") != std::string::npos) return entry.material;
  }
  return Material::unknown;
}

std::string material_words(std::string_view text) {
  constexpr std::array<std::string_view, 11> abbreviations = {"abs", "acp", "ci",  "cip", "dip", "hdpe",
                                                              "pe",  "pvc", "rcp", "sdr", "vcp"};
  std::string result(text);
  const auto is_letter = [](char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; };
  for (auto from = result.begin(); from != result.end();) {
    from = std::find_if(from, result.end(), is_letter);
    const auto to = std::find_if_not(from, result.end(), is_letter);
    std::string word(from, to);
    std::transform(word.begin(), word.end(), word.begin(), [](unsigned char c) { return std::tolower(c); });
    if (std::find(abbreviations.begin(), abbreviations.end(), word) != abbreviations.end())
      std::transform(from, to, from, [](unsigned char c) { return std::toupper(c); });
    from = to;
  }
  return result;
}

std::string_view material_name(Material material) {
  switch (material) {
    case Material::unknown:
      return "unknown";
    case Material::cast_iron:
      return "cast iron";
    case Material::ductile_iron:
      return "ductile iron";
    case Material::clay:
      return "clay";
    case Material::concrete:
      return "concrete";
    case Material::pvc:
      return "PVC";
    case Material::abs:
      return "ABS";
    case Material::hdpe:
      return "HDPE";
    case Material::orangeburg:
      return "orangeburg";
    case Material::asbestos_cement:
      return "asbestos cement";
    case Material::steel:
      return "steel";
    case Material::lead:
      return "lead";
  }
  return "unknown";
}

}  // namespace swingtie
