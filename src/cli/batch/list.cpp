#include <fmt/format.h>
#include <glob.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <filesystem>
#include <fstream>

#include "cli/batch/batch.hpp"
#include "cli/source.hpp"

namespace swingtie {
namespace {

namespace fs = std::filesystem;

bool is_yaml(const fs::path& path) {
  return path.extension() == ".yaml" || path.extension() == ".yml";
}

/// Whether a YAML file of a folder is a job: it has a line that begins with `swingtie:`.
bool looks_like_job(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::string line;
  for (int lines = 0; lines < 200 && std::getline(file, line); ++lines)
    if (line.rfind("swingtie:", 0) == 0 || line.rfind("\xEF\xBB\xBFswingtie:", 0) == 0) return true;
  return false;
}

/// Without its ending; `a/b/job` is `a/b`.
std::string output_name(const fs::path& relative) {
  fs::path name = relative;
  name.replace_extension();
  if (name.filename() == "job" && name.has_parent_path()) name = name.parent_path();
  return name.generic_string();
}

void add_folder(const fs::path& folder, BatchList& list) {
  std::error_code error;
  for (fs::recursive_directory_iterator at(folder, fs::directory_options::skip_permission_denied, error), end;
       at != end; at.increment(error)) {
    if (error) break;
    const std::string leaf = at->path().filename().string();
    if (leaf[0] == '.') {
      if (at->is_directory(error)) at.disable_recursion_pending();
      continue;
    }
    if (!is_yaml(at->path()) || !at->is_regular_file(error)) continue;
    if (looks_like_job(at->path()))
      list.jobs.push_back({at->path().string(), output_name(fs::relative(at->path(), folder, error))});
    else
      ++list.not_jobs;
  }
}

void add_file(const fs::path& path, BatchList& list) {
  std::error_code error;
  fs::path named = path;
  if (path.filename() == "job.yaml")
    named = fs::absolute(path, error).parent_path().filename() / "job.yaml";
  else
    named = path.filename();
  list.jobs.push_back({path.string(), output_name(named)});
}

void add_operand(const std::string& operand, BatchList& list) {
  std::error_code error;
  if (fs::is_directory(operand, error)) {
    // A folder that is itself one job keeps its name.
    if (fs::exists(fs::path(operand) / "job.yaml", error)) return add_file(fs::path(operand) / "job.yaml", list);
    return add_folder(operand, list);
  }
  if (fs::exists(operand, error)) return add_file(operand, list);
  glob_t found{};
  if (operand.find_first_of("*?[") != std::string::npos && ::glob(operand.c_str(), 0, nullptr, &found) == 0) {
    for (std::size_t i = 0; i < found.gl_pathc; ++i) add_operand(found.gl_pathv[i], list);
    ::globfree(&found);
    return;
  }
  // It will be reported as one wrong job among the others.
  add_file(operand, list);
}

void add_list_on_input(BatchList& list) {
  std::string text;
  char piece[1 << 16];
  for (;;) {
    const ssize_t got = ::read(STDIN_FILENO, piece, sizeof piece);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    text.append(piece, static_cast<std::size_t>(got));
  }
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    std::string line = text.substr(at, end - at);
    if (!line.empty() && line.back() == '\r') line.pop_back();
    if (!line.empty()) add_operand(line, list);
    at = end + 1;
  }
}

}  // namespace

bool is_one_job(const std::string& operand) {
  std::error_code error;
  if (fs::is_directory(operand, error)) return fs::exists(fs::path(operand) / "job.yaml", error);
  return fs::exists(operand, error) || operand.find_first_of("*?[") == std::string::npos;
}

BatchList list_jobs(const std::vector<std::string>& operands) {
  BatchList list;
  for (const std::string& operand : operands) {
    if (operand == "-")
      add_list_on_input(list);
    else
      add_operand(operand, list);
  }
  std::sort(list.jobs.begin(), list.jobs.end(),
            [](const BatchJob& a, const BatchJob& b) { return std::tie(a.name, a.path) < std::tie(b.name, b.path); });
  const auto same_path = [](const BatchJob& a, const BatchJob& b) { return a.path == b.path && a.name == b.name; };
  list.jobs.erase(std::unique(list.jobs.begin(), list.jobs.end(), same_path), list.jobs.end());
  const auto twins = std::adjacent_find(list.jobs.begin(), list.jobs.end(),
                                        [](const BatchJob& a, const BatchJob& b) { return a.name == b.name; });
  if (twins != list.jobs.end())
    throw Usage{
        fmt::format("`{}` and `{}` would both be written as `{}`", twins->path, (twins + 1)->path, twins->name),
        "name the folder above them, so that their own folders tell them apart"};
  if (list.jobs.empty()) throw Usage{"there is no job among these", "a job is a YAML file with a line `swingtie: 1`"};
  return list;
}

void keep_shard(std::vector<BatchJob>& jobs, const std::string& shard) {
  std::size_t index = 0, count = 0;
  const char* const begin = shard.data();
  const char* const end = begin + shard.size();
  const auto first = std::from_chars(begin, end, index);
  const bool slash = first.ec == std::errc{} && first.ptr < end && *first.ptr == '/';
  const auto second = slash ? std::from_chars(first.ptr + 1, end, count) : first;
  if (!slash || second.ec != std::errc{} || second.ptr != end || index < 1 || index > count)
    throw Usage{fmt::format("`{}` is not a shard", shard), "write --shard 2/8 for the second of eight"};
  std::vector<BatchJob> kept;
  for (std::size_t i = index - 1; i < jobs.size(); i += count) kept.push_back(std::move(jobs[i]));
  jobs = std::move(kept);
}

}  // namespace swingtie
