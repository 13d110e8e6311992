#include <algorithm>
#include <limits>

#include "cli/command.hpp"
#include "cli/drawing.hpp"

namespace swingtie {
namespace {

constexpr std::size_t any_number = std::numeric_limits<std::size_t>::max();

std::vector<Flag> joined(std::vector<Flag> first, const std::vector<Flag>& second) {
  first.insert(first.end(), second.begin(), second.end());
  return first;
}

Command new_command() {
  return {
      .name = "new",
      .operands = "DIR",
      .least = 1,
      .most = 1,
      .brief = "write a commented job to start from",
      .more =
          "Makes DIR and in it a job.yaml that draws at once: a small invented lot, to be changed line by "
          "line into yours. With --lot it begins with a real one: the lot of a county's file that holds a "
          "place, and the buildings, trees, streets and pipes about it from that file and those beside it.",
      .examples = {"swingtie new 14-alder-court",
                   "swingtie new 14-alder-court --lot county/parcels.gpkg --at 41.2034,-81.4012",
                   "swingtie new alder --lot lots.shp --at 41.2034,-81.4012 --log camera.csv"},
      .flags = {{.name = "--lot",
                 .value = "FILE",
                 .brief = "begin with a real lot, out of a map file",
                 .more = "A Shapefile, GeoPackage, GeoJSON or the like. Needs --at. The file stays where it is; the "
                         "job names it."},
                {.name = "--at", .value = "LAT,LON", .brief = "a place on the lot, in degrees"},
                {.name = "--layer", .value = "NAME", .brief = "the layer of the lots, where it is not plain"},
                {.name = "--log",
                 .value = "CSV",
                 .brief = "take the camera log from a spreadsheet",
                 .more = "A header names each column: counter, observation, material, size, bend, photo …"},
                {.name = "--locates",
                 .value = "CSV",
                 .brief = "take the locates from a spreadsheet",
                 .more = "A header names each column: counter, lat, lon (or easting, northing), depth, within …"}},
      .run = &run_new};
}

Command check_command() {
  return {.name = "check",
          .operands = "JOB",
          .least = 1,
          .most = 1,
          .brief = "do the readings hang together? what to measure next",
          .more =
              "Says whether bends, cable and locates agree; which reading to take again, most important first; "
              "and which further locate would help most, while one is still on the lot. Ends with 1 when the "
              "readings contradict each other, although the notes may explain them.",
          .examples = {"swingtie check job.yaml", "swingtie check - <job.yaml"},
          .flags = findings_flags(),
          .run = &run_check};
}

Command draw_command() {
  return {.name = "draw",
          .operands = "JOB",
          .least = 1,
          .most = 1,
          .brief = "draw the plan to scale",
          .more =
              "The file's name says the format: .pdf, .svg, .png or .html. Several sheets go into one PDF or HTML "
              "file; as SVG or PNG they become plan.svg, plan-2.svg and so on.",
          .examples = {"swingtie draw job.yaml -o plan.pdf",
                       "swingtie draw job.yaml -o plan.png --sheet route --dpi 200"},
          .flags = joined(joined({{.name = "--output",
                                   .letter = 'o',
                                   .value = "FILE",
                                   .brief = "where to: F.pdf, F.svg, F.png, F.html, or - with --as"}},
                                 drawing_flags()),
                          joined({{.name = "--as",
                                   .value = "FORMAT",
                                   .brief = "format of standard output",
                                   .more = "Needed with `-o -`.",
                                   .choices = drawing_endings()}},
                                 findings_flags())),
          .run = &run_draw};
}

Command export_command() {
  return {.name = "export",
          .operands = "JOBS…",
          .least = 0,
          .most = any_number,
          .brief = "write data for a map, a drawing, a spreadsheet",
          .more =
              "The file's name says the format; `--list` shows them all. Several jobs, or a folder of them, go "
              "into one file: an atlas. What each attribute means: `swingtie schema --attributes`.",
          .examples = {"swingtie export job.yaml -o lateral.geojson", "swingtie export jobs/ -o atlas.gpkg",
                       "swingtie export job.yaml --to \"PG:dbname=gis\" --schema laterals"},
          .flags = joined(
              {
                  {.name = "--output",
                   .letter = 'o',
                   .value = "FILE",
                   .brief = "where to; its ending says the format, - with --as"},
                  {.name = "--list", .letter = 'l', .brief = "list the formats"},
                  {.name = "--as",
                   .value = "FORMAT",
                   .brief = "format of standard output: its ending without the dot",
                   .more = "Needed with `-o -`."},
                  {.name = "--to",
                   .value = "PG:…",
                   .brief = "a PostGIS database instead of a file",
                   .more = "The jobs' rows replace those of an earlier run, all in one transaction."},
                  {.name = "--schema", .value = "NAME", .brief = "schema of the database (default swingtie)"},
              },
              findings_flags()),
          .run = &run_export};
}

Command solve_command() {
  return {.name = "solve",
          .operands = "JOB",
          .least = 1,
          .most = 1,
          .brief = "the numbers",
          .more =
              "The adjusted route station by station, with depths and 95 % figures; items, crossings, dig points "
              "and ties.",
          .examples = {"swingtie solve job.yaml", "swingtie solve job.yaml --json | jq .dig"},
          .flags = joined(
              {
                  {.name = "--json",
                   .brief = "as JSON",
                   .more = "Lengths in the site's unit, angles in degrees, probabilities from 0 to 1."},
              },
              findings_flags()),
          .run = &run_solve};
}

Command tell_command() {
  return {.name = "tell",
          .operands = "JOB",
          .least = 1,
          .most = 1,
          .brief = "the words: for the excavator, the buyer, the city",
          .more =
              "Plain text in the frame of somebody who faces the house from the street. The excavator's is enough "
              "to find each spot with a tape and no drawing.",
          .examples = {"swingtie tell job.yaml", "swingtie tell job.yaml --for buyer"},
          .flags = joined(
              {
                  {.name = "--for",
                   .letter = 'f',
                   .value = "READER",
                   .brief = "excavator, buyer or city (default excavator)",
                   .choices = {"excavator", "buyer", "city"}},
              },
              findings_flags()),
          .run = &run_tell};
}

Command compare_command() {
  return {.name = "compare",
          .operands = "OLD NEW",
          .least = 2,
          .most = 2,
          .brief = "two inspections of one lateral: what is new, gone, grown",
          .more =
              "Solves both on one route, whatever their clean-outs, zeros and directions, and pairs their items. "
              "What only the counter shifted is told apart from what moved.",
          .examples = {"swingtie compare 2024/job.yaml 2026/job.yaml"},
          .flags = {{.name = "--json", .brief = "as JSON", .more = "Lengths in the unit of the later job."}},
          .run = &run_compare};
}

Command batch_command() {
  return {
      .name = "batch",
      .operands = "JOBS…",
      .least = 1,
      .most = any_number,
      .brief = "many jobs at once, in parallel, resumable",
      .more =
          "JOBS are job files, folders of them, patterns, or - for a list on standard input. Outputs keep the "
          "jobs' names below the output folder. A job that is wrong or fails does not stop the others. Run "
          "again after a stop: what is done and unchanged is skipped. summary.csv tells of all. Ends with the "
          "worst exit code of a job.",
      .examples = {"swingtie batch jobs/ -o plans", "ls jobs/*.yaml | swingtie batch - -o plans --json",
                   "swingtie batch jobs/ -o plans --shard 2/8"},
      .flags = joined(
          joined({{.name = "--output", .letter = 'o', .value = "DIR", .brief = "folder to write into"},
                  {.name = "--formats",
                   .letter = 'f',
                   .value = "LIST",
                   .brief = "what to write for each (default pdf,geojson)",
                   .more = "Endings without their dots: drawings pdf, svg, png, html; figures json; data as "
                           "`swingtie export --list` has it. Unless asked for, a format that a job cannot have is "
                           "left out."},
                  {.name = "--jobs",
                   .letter = 'j',
                   .value = "N",
                   .brief = "worker processes (default: one per processor)"},
                  {.name = "--json", .brief = "a line of JSON per job on standard output"},
                  {.name = "--again", .brief = "also what is done and unchanged"},
                  {.name = "--shard", .value = "I/N", .brief = "only every N-th job, from the I-th"},
                  {.name = "--timeout", .value = "S", .brief = "seconds that one job may take (default 60)"}},
                 drawing_flags()),
          findings_flags()),
      .run = &run_batch};
}

Command serve_command() {
  return {.name = "serve",
          .operands = "[DIR]",
          .most = 1,
          .brief = "the page for the field: make and edit jobs by tapping",
          .more =
              "Serves a page to a browser on this machine, and prints the address to open. The page reads and writes "
              "the jobs in DIR (default: the working folder) and nothing else. With --address another machine's "
              "browser, such as a tablet's, can reach it; the printed address carries the key that lets it in.",
          .examples = {"swingtie serve", "swingtie serve jobs --address 192.168.7.2"},
          .flags = {{.name = "--port",
                     .letter = 'p',
                     .value = "N",
                     .brief = "port to listen on (default 8470; 0: any free one)"},
                    {.name = "--address",
                     .value = "ADDRESS",
                     .brief = "address to listen on (default 127.0.0.1: this machine only)"}},
          .run = &run_serve};
}

Command schema_command() {
  return {.name = "schema",
          .brief = "JSON Schema of the job file",
          .more = "For an editor that completes and checks a job as it is typed.",
          .examples = {"swingtie schema > job.schema.json"},
          .flags = {{.name = "--reference", .brief = "every key of the job file for a person, in Markdown"},
                    {.name = "--attributes", .brief = "what exported attributes mean, as tables in Markdown"}},
          .run = &run_schema};
}

Command completions_command() {
  return {.name = "completions",
          .operands = "SHELL",
          .least = 1,
          .most = 1,
          .brief = "completions for bash, zsh or fish",
          .more = "Prints a script for the shell to load.",
          .examples = {"swingtie completions bash > ~/.swingtie.bash",
                       "swingtie completions fish > ~/.config/fish/completions/swingtie.fish"},
          .run = &run_completions};
}

Command manual_command() {
  return {.name = "manual",
          .brief = "the manual page, in roff",
          .examples = {"swingtie manual | man -l -"},
          .run = &run_manual,
          .hidden = true};
}

}  // namespace

const std::vector<Command>& commands() {
  static const std::vector<Command> all{new_command(),     check_command(),  draw_command(),        tell_command(),
                                        compare_command(), export_command(), solve_command(),       batch_command(),
                                        serve_command(),   schema_command(), completions_command(), manual_command()};
  return all;
}

const Command* find_command(std::string_view name) {
  const auto& all = commands();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Command& c) { return c.name == name; });
  return found == all.end() ? nullptr : &*found;
}

}  // namespace swingtie
