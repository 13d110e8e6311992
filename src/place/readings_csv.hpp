#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace swingtie {

/// Readings of a spreadsheet as lines of a job file.
struct CsvReadings {
  std::vector<std::string> lines;    ///< one `{at: …, …}` each, by counter; what a list item of the job holds
  std::vector<std::string> remarks;  ///< what was left out and why, each naming its row
  std::vector<std::string> ignored;  ///< headers that mean nothing here
};

/// The camera log of a CSV file. Commas, semicolons or tabs; quotes, a byte-order mark, blank lines and decimal
/// commas (beside semicolons) are all right. A header names each column, in any case and order: counter (`counter`,
/// `distance`, `footage`, `at`), what was seen (`see`, `observation`, `notes`), `joint`, `pipe` or `material` with
/// `size`, `bend`, `act`, `end`, `photo`. A unit in a header (`Distance (m)`, `depth_ft`) goes to its values; plain
/// numbers stay in the site's unit.
CsvReadings log_of_csv(std::string_view csv);

/// The locates of a CSV file: counter, then `lat` and `lon` or `easting` and `northing`, and if there are `depth`,
/// `within` (95 %) or `accuracy` (a receiver's own figure, root mean square; becomes 1.73 times that), `note`,
/// `photo`.
CsvReadings locates_of_csv(std::string_view csv);

}  // namespace swingtie
