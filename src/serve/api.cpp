#include "serve/api.hpp"

#include <fmt/format.h>
#include <exception>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <stdexcept>
#include <system_error>
#include <utility>

#include "draw/draw.hpp"
#include "exchange/formats.hpp"
#include "exchange/json.hpp"
#include "findings/findings.hpp"
#include "findings/words.hpp"
#include "job/job.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"
#include "serve/view.hpp"
#include "sheet/make_sheets.hpp"

namespace swingtie {
namespace {

using nlohmann::json;

constexpr std::string_view jobs_path = "/api/jobs";
constexpr std::string_view photos_path = "/api/photos/";

// A job may hold bytes that are not UTF-8 before the reader has seen it; they must not stop the answer.
constexpr auto lenient = json::error_handler_t::replace;

ApiAnswer say(const json& value, int status = 200) {
  return {status, "application/json", value.dump(-1, ' ', false, lenient), {}};
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
  Placed placed;                     ///< what could be placed; all of it where there are findings
  std::optional<Findings> findings;  ///< of a job without mistakes that has a run
};

void append(std::vector<Diagnostic>& to, std::vector<Diagnostic> more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

/// A text from the page may name files inside the folder of jobs and no others: it comes from a browser, which could
/// not read them by itself.
Worked work(const std::string& text, const FileFence& files) {
  auto read = read_unfinished_job(text);
  Worked out{std::move(read.diagnostics), {}, {}};
  auto partly = place_partly(read.job, files);
  out.placed = std::move(partly.placed);
  // An entry that was left out would be missed a second time by whatever refers to it.
  if (read.left_out == 0) append(out.diagnostics, std::move(partly.diagnostics));
  if (!read.finished || !partly.whole) return out;
  out.findings = find(out.placed, solve(out.placed));
  append(out.diagnostics, out.findings->remarks);
  return out;
}

/// The text a request carries, or what is wrong with the request.
struct Request {
  json body;
  std::string text;
  std::string stem;  ///< what the job's drawings and data are called
  FileFence files;
  std::optional<ApiAnswer> fault;
};

/// As the command line names it: the file's stem, or its folder's name where the file is called job.yaml.
std::string stem_of(const std::filesystem::path& path) {
  const auto stem = path.stem().string();
  return stem == "job" && path.has_parent_path() ? path.parent_path().filename().string() : stem;
}

Request read_request(const JobFolder& folder, std::string_view body) {
  Request request;
  request.body = json::parse(body, nullptr, false);
  if (!request.body.is_object() || !request.body.contains("text") || !request.body["text"].is_string()) {
    request.fault = complain(400, "the body must be a JSON object with a string `text`");
    return request;
  }
  request.text = request.body["text"].get<std::string>();
  request.stem = "job";
  request.files = {folder.path().string(), folder.path().string()};
  if (const auto name = request.body.find("name"); name != request.body.end()) {
    if (!name->is_string() || !JobFolder::is_job_name(name->get_ref<const std::string&>())) {
      request.fault = complain(400, "`name` must be a job's name inside the folder");
      return request;
    }
    const auto path = folder.path() / name->get<std::string>();
    request.stem = stem_of(path);
    request.files.folder = path.parent_path().string();
  }
  return request;
}

std::string word(const json& body, const char* key, std::string_view otherwise) {
  const auto found = body.find(key);
  return found != body.end() && found->is_string() ? found->get<std::string>() : std::string(otherwise);
}

ApiAnswer answer_job(const Request& request) {
  const auto worked = work(request.text, request.files);
  // The two are JSON already; put together as text they need not be parsed only to be written again.
  std::string body = R"({"diagnostics":)" + to_json(worked.diagnostics).dump(-1, ' ', false, lenient) +
                     R"(,"view":)" + write_view(worked.placed) + R"(,"answer":)";
  body += worked.findings ? write_json({&worked.placed, &*worked.findings, request.stem}) : std::string("null");
  return {200, "application/json", body + "}", {}};
}

/// What a file cannot be made of, with what is wrong with the job.
ApiAnswer not_solved(const Worked& worked) {
  return say({{"error", "the job cannot be solved yet"}, {"diagnostics", to_json(worked.diagnostics)}}, 422);
}

ApiAnswer draw_job(const Request& request) {
  const auto kind = sheet_kind(word(request.body, "sheet", "dig"));
  auto style = built_in_style(word(request.body, "style", "colour"));
  const auto format = word(request.body, "format", "svg");
  if (!kind || !style || (format != "svg" && format != "pdf" && format != "html"))
    return complain(400, "`sheet`, `style` or `format` names nothing that can be drawn");
  const auto worked = work(request.text, request.files);
  if (!worked.findings && format != "svg") return not_solved(worked);
  std::vector<Sheet> sheets;
  if (worked.findings) {
    SheetOptions options;
    options.kind = *kind;
    options.style = std::move(*style);
    options.folder = request.files.folder;
    options.within = request.files.within;
    sheets = make_sheets(worked.placed, *worked.findings, options);
  }
  const std::string file = fmt::format("{}-{}.{}", request.stem, sheet_kind_name(*kind), format);
  if (format == "pdf") return {200, "application/pdf", write_pdf(sheets), file};
  if (format == "html") return {200, "text/html; charset=utf-8", write_html(sheets), file};
  json pages = json::array();
  for (const auto& sheet : sheets) pages.push_back(write_svg(sheet));
  return say({{"diagnostics", to_json(worked.diagnostics)}, {"pages", std::move(pages)}});
}

ApiAnswer export_job(const Request& request) {
  const std::string file = request.stem + "." + word(request.body, "format", "geojson");
  const Format* format = format_of(file);
  if (format == nullptr || file != request.stem + std::string(format->extension))
    return complain(400, "`format` names no format of data");
  const auto worked = work(request.text, request.files);
  if (!worked.findings) return not_solved(worked);
  const JobFindings job{&worked.placed, &*worked.findings, request.stem};
  try {
    return {200, "application/octet-stream", format->write({&job, 1}), file};
  } catch (const CannotExport& why) {
    return say({{"error", why.what()}, {"hint", why.hint}}, 422);
  }
}

ApiAnswer tell_job(const Request& request) {
  const auto audience = audience_of(word(request.body, "for", "excavator"));
  if (!audience) return complain(400, "`for` names nobody that can be told");
  const auto worked = work(request.text, request.files);
  if (!worked.findings) return not_solved(worked);
  return say({{"words", tell(worked.placed, *worked.findings, *audience)}});
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

ApiAnswer answer_photo(JobFolder& folder, std::string_view method, const std::string& name, std::string_view body) {
  if (!JobFolder::is_photo_name(name))
    return complain(400, "a photo's name is relative, without `..`, and ends in .jpg, .jpeg or .png");
  if (method == "PUT") {
    if (!JobFolder::is_picture(body)) return complain(415, "that is neither a JPEG nor a PNG picture");
    return folder.add_photo(name, body) ? say({{"name", name}}, 201) : complain(409, "a photo of that name is there");
  }
  if (method != "GET") return complain(405, "a photo can be read (GET) and added (PUT)");
  auto bytes = folder.read_photo(name);
  if (!bytes || !JobFolder::is_picture(*bytes)) return complain(404, "no such photo");
  const char* type = bytes->front() == '\x89' ? "image/png" : "image/jpeg";
  return {200, type, std::move(*bytes), {}};
}

ApiAnswer answer_request(std::string_view path, const Request& request) {
  if (path == "/api/answer") return answer_job(request);
  if (path == "/api/draw") return draw_job(request);
  if (path == "/api/export") return export_job(request);
  if (path == "/api/tell") return tell_job(request);
  return complain(404, "no such call");
}

}  // namespace

ApiAnswer answer(JobFolder& folder, std::string_view method, std::string_view path, std::string_view body) {
  if (path.starts_with(jobs_path)) return answer_jobs(folder, method, path.substr(jobs_path.size()), body);
  if (path.starts_with(photos_path))
    return answer_photo(folder, method, std::string(path.substr(photos_path.size())), body);
  if (path == "/api/schema" && method == "GET") return {200, "application/schema+json", job_schema(), {}};
  if (method != "POST") return complain(404, "no such call");
  const auto request = read_request(folder, body);
  if (request.fault) return *request.fault;
  try {
    return answer_request(path, request);
  } catch (const std::system_error&) {
    throw;  // the disk's, which the server tells by number
  } catch (const std::runtime_error& failure) {
    // What this machine lacks, in words that say what to install.
    return complain(500, failure.what());
  }
}

}  // namespace swingtie
