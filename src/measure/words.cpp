#include "measure/words.hpp"

namespace swingtie {

std::string counted(std::size_t number, std::string_view noun, std::string_view plural) {
  std::string text = std::to_string(number) + " ";
  if (number != 1 && !plural.empty()) return text.append(plural);
  text.append(noun);
  if (number != 1) text.push_back('s');
  return text;
}

std::string listed(const std::vector<std::string>& words, std::string_view last) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0 && i + 1 < words.size()) text += ", ";
    if (i > 0 && i + 1 == words.size()) text.append(" ").append(last).append(" ");
    text += words[i];
  }
  return text;
}

}  // namespace swingtie
