#include "serve/api.hpp"

#include <fmt/format.h>
#include <cmath>
#include <exception>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>

#include "draw/draw.hpp"
#include "exchange/json.hpp"
#include "findings/findings.hpp"
#include "job/job.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"
#include "serve/view.hpp"
#include "sheet/make_sheets.hpp"

namespace swingtie {
namespace {

using nlohmann::json;

constexpr std::string_view jobs_path = "/api/jobs";

ApiAnswer say(const json& value, int status = 200) {
  // A job may hold bytes that are not UTF-8 before the reader has seen it; they must not stop the answer.
  return {status, "application/json", value.dump(-1, ' ', false, json::error_handler_t::replace)};
}

ApiAnswer complain(int status, std::string_view why) {
  return say({{"error", why}}, status);
}

json to_json(const std::vector<Diagnostic>& diagnostics) {
  json list = json::array();
  for (const auto& d : diagnostics) {
    list.push_back({{"severity", d.severity == Severity::error ? "error" : "warning"},
                    {"line", d.at.line},
                    {"column", d.at.column},
                    {"length", d.at.length},
                    {"message", d.message},
                    {"expected", d.expected},
                    {"hint", d.hint}});
  }
  return list;
}

/// As far as a job's text gets through the stages, with all that was said on the way.
struct Worked {
  std::vector<Diagnostic> diagnostics;
  std::optional<Placed> placed;
  std::optional<Findings> findings;
};

void append(std::vector<Diagnostic>& to, std::vector<Diagnostic> more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

Worked work(const std::string& text, const std::filesystem::path& folder) {
  Worked out;
  auto job = read_job(text);
  append(out.diagnostics, std::move(job.diagnostics));
  if (!job.value) return out;
  auto placed = place(*job.value, folder.string());
  append(out.diagnostics, std::move(placed.diagnostics));
  if (!placed.value) return out;
  out.placed = std::move(placed.value);
  if (out.placed->runs.empty()) return out;
  out.findings = find(*out.placed, solve(*out.placed));
  append(out.diagnostics, out.findings->remarks);
  return out;
}

/// The text a request carries, or what is wrong with the request.
struct Request {
  json body;
  std::string text;
  std::filesystem::path folder;
  std::optional<ApiAnswer> fault;
};

Request read_request(const JobFolder& folder, std::string_view body) {
  Request request;
  request.body = json::parse(body, nullptr, false);
  if (!request.body.is_object() || !request.body.contains("text") || !request.body["text"].is_string()) {
    request.fault = complain(400, "the body must be a JSON object with a string `text`");
    return request;
  }
  request.text = request.body["text"].get<std::string>();
  request.folder = folder.path();
  if (const auto name = request.body.find("name"); name != request.body.end()) {
    if (!name->is_string() || !JobFolder::is_job_name(name->get_ref<const std::string&>())) {
      request.fault = complain(400, "`name` must be a job's name inside the folder");
      return request;
    }
    request.folder /= std::filesystem::path(name->get<std::string>()).parent_path();
  }
  return request;
}

std::string word(const json& body, const char* key, std::string_view otherwise) {
  const auto found = body.find(key);
  return found != body.end() && found->is_string() ? found->get<std::string>() : std::string(otherwise);
}

ApiAnswer answer_job(const Request& request) {
  const auto worked = work(request.text, request.folder);
  json out = {{"diagnostics", to_json(worked.diagnostics)}, {"view", nullptr}, {"answer", nullptr}};
  if (worked.placed) out["view"] = json::parse(write_view(*worked.placed));
  if (worked.findings) out["answer"] = json::parse(write_json({&*worked.placed, &*worked.findings, ""}));
  return say(out);
}

ApiAnswer draw_job(const Request& request) {
  const auto kind = sheet_kind(word(request.body, "sheet", "dig"));
  auto style = built_in_style(word(request.body, "style", "colour"));
  if (!kind || !style) return complain(400, "`sheet` or `style` names nothing that can be drawn");
  const auto worked = work(request.text, request.folder);
  json pages = json::array();
  if (worked.findings) {
    SheetOptions options;
    options.kind = *kind;
    options.style = std::move(*style);
    options.folder = request.folder.string();
    for (const auto& sheet : make_sheets(*worked.placed, *worked.findings, options))
      pages.push_back(write_svg(sheet));
  }
  return say({{"diagnostics", to_json(worked.diagnostics)}, {"pages", std::move(pages)}});
}

ApiAnswer read_stored(const JobFolder& folder, const std::string& name) {
  const auto stored = folder.read(name);
  if (!stored) return complain(404, "no such job");
  return say({{"name", name}, {"text", stored->text}, {"version", stored->version}});
}

ApiAnswer save_stored(JobFolder& folder, const std::string& name, std::string_view body) {
  const auto request = read_request(folder, body);
  if (request.fault) return *request.fault;
  const auto saved = folder.save(name, request.text, word(request.body, "base_version", ""));
  json out = {{"version", saved.version}};
  if (!saved.done) out["text"] = saved.text ? json(*saved.text) : json(nullptr);
  return say(out, saved.done ? 200 : 409);
}

ApiAnswer answer_jobs(JobFolder& folder, std::string_view method, std::string_view rest, std::string_view body) {
  if (rest.empty() || rest == "/") {
    if (method != "GET") return complain(405, "the list of jobs can only be read");
    return say({{"jobs", folder.list()}});
  }
  const std::string name(rest.substr(1));
  if (!JobFolder::is_job_name(name))
    return complain(400, "a job's name is relative, without `..`, and ends in .yaml");
  if (method == "GET") return read_stored(folder, name);
  if (method == "PUT") return save_stored(folder, name, body);
  return complain(405, "a job can be read (GET) and written (PUT)");
}

}  // namespace

ApiAnswer answer(JobFolder& folder, std::string_view method, std::string_view path, std::string_view body) {
  if (path.starts_with(jobs_path)) return answer_jobs(folder, method, path.substr(jobs_path.size()), body);
  if (path == "/api/schema" && method == "GET") return {200, "application/schema+json", job_schema()};
  if (method != "POST") return complain(404, "no such call");
  const auto request = read_request(folder, body);
  if (request.fault) return *request.fault;
  if (path == "/api/answer") return answer_job(request);
  if (path == "/api/draw") return draw_job(request);
  return complain(404, "no such call");
}

}  // namespace swingtie
