#include "job/yaml_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "job/yaml_tree.hpp"
#include "measure/utf8.hpp"
#include "measure/words.hpp"

namespace swingtie {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
constexpr std::string_view new_job_hint = "`swingtie new DIR` writes a commented job to start from";

Diagnostic mistake(Span at, std::string message, std::string hint) {
  return {Severity::error, at, std::move(message), {}, std::move(hint)};
}

bool starts_with(std::string_view bytes, std::string_view start) {
  return bytes.substr(0, start.size()) == start;
}

/// What a file is that begins like this, if it is a kind one may pick by accident.
std::string_view known_binary(std::string_view bytes) {
  if (starts_with(bytes, "%PDF")) return "a PDF";
  if (starts_with(bytes, "\x89PNG") || starts_with(bytes, "\xFF\xD8\xFF")) return "a picture";
  if (starts_with(bytes, "PK\x03\x04")) return "a zip archive or an office document";
  if (starts_with(bytes, "SQLite format 3")) return "a database such as a GeoPackage";
  return {};
}

std::optional<Diagnostic> not_text(std::string_view bytes, const YamlText& text) {
  if (const std::string_view kind = known_binary(bytes); !kind.empty()) {
    return mistake({}, fmt::format("this is {}, not a job file", kind), "a job file is text, in YAML");
  }
  if (starts_with(bytes, "\xFF\xFE") || starts_with(bytes, "\xFE\xFF")) {
    return mistake({}, "this text is saved as UTF-16", "save it as UTF-8");
  }
  const std::string& clean = text.bytes();
  if (clean.find('\0') != std::string::npos) {
    return mistake({}, "this is not a text file", "a job file is text, in YAML");
  }
  if (const std::size_t bad = find_bad_utf8(clean); bad != std::string::npos) {
    return mistake(text.span(bad, 1), "this character is not UTF-8", "save the file as UTF-8");
  }
  const auto control = std::find_if(clean.begin(), clean.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return (byte < 0x20 && c != '\n' && c != '\t') || byte == 0x7F;
  });
  if (control != clean.end()) {
    return mistake(text.span(static_cast<std::size_t>(control - clean.begin()), 1),
                   "a control character cannot be part of a job file", "delete it");
  }
  return std::nullopt;
}

std::optional<Diagnostic> tabs(const YamlText& text) {
  const std::string& bytes = text.bytes();
  std::optional<std::size_t> first;
  std::size_t lines = 0;
  for (std::size_t begin = 0; begin < bytes.size();) {
    const std::size_t end = std::min(bytes.find('\n', begin), bytes.size());
    const std::string_view line = std::string_view(bytes).substr(begin, end - begin);
    const std::size_t content = line.find_first_not_of(" \t");
    const std::size_t tab = line.find('\t');
    if (content != std::string_view::npos && tab < content && line[content] != '#') {
      if (!first) first = begin + tab;
      ++lines;
    }
    begin = end + 1;
  }
  if (!first) return std::nullopt;
  const std::string others = lines > 1 ? fmt::format(", here and on {}", counted(lines - 1, "more line")) : "";
  return mistake(text.span(*first, 1), "a tab indents the line" + others,
                 "YAML wants spaces: two for each level; most editors can turn tabs into spaces");
}

}  // namespace

YamlText::YamlText(std::string_view bytes) {
  if (starts_with(bytes, byte_order_mark)) bytes.remove_prefix(byte_order_mark.size());
  bytes_.reserve(bytes.size());
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    if (bytes[i] != '\r') {
      bytes_.push_back(bytes[i]);
    } else if (i + 1 == bytes.size() || bytes[i + 1] != '\n') {
      bytes_.push_back('\n');
    }
  }
}

Span YamlText::span(std::size_t offset, std::size_t length) const {
  offset = std::min(offset, bytes_.size());
  if (offset < last_.offset) last_ = {};
  const auto continues = [this](std::size_t i) {
    return i < bytes_.size() && (static_cast<unsigned char>(bytes_[i]) & 0xC0) == 0x80;
  };
  while (last_.offset < offset) {
    const bool line_end = bytes_[last_.offset++] == '\n';
    if (line_end) {
      ++last_.line;
      last_.column = 1;
    } else if (!continues(last_.offset)) {
      ++last_.column;
    }
  }
  return {last_.line, last_.column, span_length(offset, offset + length)};
}

std::size_t YamlText::span_length(std::size_t begin, std::size_t end) const {
  begin = std::min(begin, bytes_.size());
  std::string_view piece = std::string_view(bytes_).substr(begin, end > begin ? end - begin : 0);
  piece = piece.substr(0, piece.find('\n'));
  return std::max<std::size_t>(code_point_count(piece), 1);
}

std::string YamlText::character_at(std::size_t offset) const {
  return encode_utf8(decode_utf8(std::string_view(bytes_).substr(std::min(offset, bytes_.size()), 4)).substr(0, 1));
}

std::string_view YamlText::line_at(std::size_t offset) const {
  offset = std::min(offset, bytes_.size());
  const std::size_t before = offset == 0 ? std::string::npos : bytes_.rfind('\n', offset - 1);
  const std::size_t begin = before == std::string::npos ? 0 : before + 1;
  return std::string_view(bytes_).substr(begin, std::min(bytes_.find('\n', begin), bytes_.size()) - begin);
}

std::size_t YamlText::end_of_quoted(std::size_t offset) const {
  const char quote = bytes_[offset];
  for (std::size_t i = offset + 1; i < bytes_.size(); ++i) {
    if (quote == '"' && bytes_[i] == '\\') {
      ++i;
    } else if (bytes_[i] == quote) {
      if (quote == '"' || i + 1 == bytes_.size() || bytes_[i + 1] != quote) return i + 1;
      ++i;
    }
  }
  return std::string::npos;
}

std::optional<Diagnostic> mistake_in_bytes(std::string_view bytes, const YamlText& text) {
  if (bytes.size() > largest_job_bytes) {
    return mistake({}, fmt::format("the file has {} MB; a job file has at most 1 MB", bytes.size() / 1'000'000),
                   "put parcels and contours in a geodata file and name it with `file:`");
  }
  if (auto bad = not_text(bytes, text)) return bad;
  if (text.bytes().find_first_not_of(" \t\n") == std::string::npos) {
    return mistake({}, "the file is empty", std::string(new_job_hint));
  }
  return tabs(text);
}

}  // namespace swingtie
