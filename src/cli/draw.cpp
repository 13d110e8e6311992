#include <fmt/format.h>

#include <algorithm>

#include "cli/drawing.hpp"
#include "cli/output.hpp"
#include "cli/terminal.hpp"
#include "measure/words.hpp"

namespace swingtie {
namespace {

/// Format of a drawing: the ending of the file's name, or `--as` for standard output.
std::string drawing_format(const std::string& output, const Arguments& arguments) {
  if (const auto as = arguments.value("--as")) return *as;
  if (output == "-") throw Usage{"standard output has no ending to say the format", "add --as pdf"};
  const std::size_t dot = output.rfind('.');
  std::string ending = dot == std::string::npos ? "" : output.substr(dot + 1);
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  const auto& known = drawing_endings();
  if (std::find(known.begin(), known.end(), ending) != known.end()) return ending;
  throw Usage{fmt::format("`{}` does not end like a drawing", output),
              "expected .pdf, .svg, .png or .html; data files are written by `swingtie export`"};
}

/// The first sheet gets the name that was asked for, the others a number.
void write_each(const std::string& output, const std::vector<std::string>& files) {
  if (files.size() > 1 && output == "-")
    throw Usage{fmt::format("{} do not fit into one stream of this format", counted(files.size(), "sheet")),
                "use --as pdf, or write to a file"};
  for (std::size_t i = 0; i < files.size(); ++i) {
    const std::string path = numbered_path(output, i + 1);
    write_output(path, files[i]);
    if (files.size() > 1) complain(fmt::format("wrote {}\n", path));
  }
}

}  // namespace

Exit run_draw(const Arguments& arguments) {
  const auto output = arguments.value("--output");
  if (!output) throw Usage{"`draw` needs a file to draw into", "add -o plan.pdf"};
  const std::string format = drawing_format(*output, arguments);
  const DrawingWish wish = drawing_wish(arguments);
  const Worked worked = work_operand(arguments);
  std::vector<std::string> remarks;
  const std::vector<std::string> files = drawn(format, worked, wish, remarks);
  for (const std::string& remark : remarks)
    complain(fmt::format("{}: {}\n", inked("warning", Ink::yellow, colour_on_errors()), remark));
  write_each(*output, files);
  return Exit::done;
}

}  // namespace swingtie
