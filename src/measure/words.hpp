#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace swingtie {

/// `1 locate`, `2 locates`. @param plural  where adding an s is wrong
std::string counted(std::size_t number, std::string_view noun, std::string_view plural = {});

/// `a`, `a or b`, `a, b or c`. @param last  the word before the last one
std::string listed(const std::vector<std::string>& words, std::string_view last);

}  // namespace swingtie
