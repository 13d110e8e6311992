#include "job/job.hpp"

#include <fmt/format.h>

#include "job/forms.hpp"
#include "job/yaml_tree.hpp"

namespace swingtie {
namespace {

constexpr double job_version = 1;

struct JobMap {
  Job job;
  double version = 0;
};

Form<double> version() {
  auto plain = form::number(0, 1e6, "the version of the job file");
  return {[read = std::move(plain.read)](Reader& reader, const YamlNode& node) -> std::optional<double> {
            const auto value = read(reader, node);
            if (value && *value != job_version) {
              reader.error(node.at, fmt::format("version {:g} of the job file is not known", *value),
                           fmt::format("{:g}", job_version),
                           *value > job_version ? "this file needs a newer swingtie" : "");
            }
            return value;
          },
          [] {
            auto shape = std::make_shared<Shape>();
            shape->kind = Shape::Kind::number;
            shape->least = shape->most = job_version;
            shape->examples = {fmt::format("{:g}", job_version)};
            return shape;
          }()};
}

template <class T>
auto into(T Job::*member) {
  return [member](JobMap& map, auto value, Span) { map.job.*member = std::move(value); };
}

/// The one description of the job file: what is not named here or below does not exist for reader, schema or docs.
const Fields<JobMap>& job_fields() {
  static const Fields<JobMap> fields(
      "a job file",
      "One inspection of one site: what is on it, where the camera went, what it met, where it was located.",
      {key("swingtie", &JobMap::version, version(), "Version of the job file.").required(),
       key_with<JobMap>("site", form::site(), into(&Job::site), "What and where the site is.").required(),
       key_with<JobMap>("features", list_of_entries(form::feature(), "features"), into(&Job::features),
                        "What is on the site."),
       key_with<JobMap>("ground", form::ground(), into(&Job::ground), "Heights of the ground; flat if left out."),
       key_with<JobMap>("lines", list_of_entries(form::line_entry(), "lines", 1), into(&Job::lines),
                        "The pipes; leave out for a single one called main."),
       key_with<JobMap>("runs", list_of_entries(form::run_entry(), "runs", 1), into(&Job::runs), "The camera's runs.")
           .required(),
       key_with<JobMap>("ownership", form::ownership(), into(&Job::ownership), "Up to where the line is private."),
       key_with<JobMap>("dig", form::dig_plan(), into(&Job::dig), "How holes are to be dug.")});
  return fields;
}

/// The site's unit, needed before anything else is read. What is wrong with it is reported when `site` is read.
LengthUnit unit_of(const YamlNode& root) {
  const YamlNode* site_node = root.find("site");
  const YamlNode* units = site_node ? site_node->find("units") : nullptr;
  Reader unheard;
  return units ? form::unit().read(unheard, *units).value_or(LengthUnit::foot) : LengthUnit::foot;
}

}  // namespace

const Shape& job_shape() {
  return job_fields().shape();
}

UnfinishedJob read_unfinished_job(std::string_view yaml) {
  auto document = parse_yaml(yaml);
  if (!document.value) return {{}, std::move(document.diagnostics), false, 0};
  const YamlNode& root = *document.value->root;
  Reader reader;
  reader.add(std::move(document.diagnostics));
  reader.unit = unit_of(root);
  JobMap map;
  job_fields().read(reader, root, map);
  if (map.job.lines.empty()) {
    map.job.lines.push_back({});
    map.job.lines.front().id.value = "main";
  }
  UnfinishedJob result{std::move(map.job), reader.take(), true, reader.left_out()};
  for (const Diagnostic& diagnostic : result.diagnostics)
    result.finished = result.finished && diagnostic.severity != Severity::error;
  return result;
}

Checked<Job> read_job(std::string_view yaml) {
  UnfinishedJob read = read_unfinished_job(yaml);
  Checked<Job> result;
  if (read.finished) result.value = std::move(read.job);
  result.diagnostics = std::move(read.diagnostics);
  return result;
}

}  // namespace swingtie
