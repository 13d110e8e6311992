#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string_view>

#include "cli/batch/batch.hpp"
#include "cli/output.hpp"
#include "exchange/formats.hpp"
#include "exchange/json.hpp"
#include "exchange/words.hpp"
#include "job/job.hpp"

namespace swingtie {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

/// FNV-1a, 64 bits: tells changed inputs from unchanged ones, nothing more.
class ContentHash {
 public:
  void add(std::string_view bytes) {
    for (const char c : bytes) mix(static_cast<unsigned char>(c));
    // The length ends a piece, so that two pieces cannot be taken for one.
    for (std::size_t size = bytes.size(), i = 0; i < 8; ++i, size >>= 8) mix(static_cast<unsigned char>(size));
  }
  void add_file(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    add(std::string{std::istreambuf_iterator<char>(file), {}});
  }
  std::string text() const { return fmt::format("{:016x}", value_); }

 private:
  void mix(unsigned char byte) {
    value_ ^= byte;
    value_ *= 0x100000001b3ULL;
  }
  std::uint64_t value_ = 0xcbf29ce484222325ULL;
};

/// Hash of everything that the outputs of a job come from: its text, the files it names, the wish, the program.
std::string content_hash(const Source& source, const BatchWish& wish) {
  ContentHash hash;
  hash.add(SWINGTIE_VERSION);
  hash.add(wish.fingerprint);
  hash.add(source.text);
  const Checked<Job> job = read_job(source.text);
  if (!job.value) return hash.text();
  const fs::path folder(source.folder);
  for (const FeatureEntry& feature : job.value->features)
    if (const FileSource* file = std::get_if<FileSource>(&feature.geometry)) hash.add_file(folder / file->path.value);
  if (job.value->ground)
    if (const Ground::Dem* dem = std::get_if<Ground::Dem>(&job.value->ground->surface))
      hash.add_file(folder / dem->path.value);
  for (const RunEntry& run : job.value->runs) {
    for (const LogEntry& entry : run.log)
      if (!entry.photo.empty()) hash.add_file(folder / entry.photo);
    for (const LocateEntry& entry : run.locates)
      if (!entry.photo.empty()) hash.add_file(folder / entry.photo);
  }
  return hash.text();
}

fs::path record_path(const BatchJob& job, const BatchWish& wish) {
  return fs::path(wish.folder) / ".swingtie" / (job.name + ".json");
}

/// The record of an earlier run, when it and every file it speaks of are whole and nothing has changed since.
std::optional<BatchRecord> earlier_record(const BatchJob& job, const BatchWish& wish, const std::string& hash) {
  std::ifstream file(record_path(job, wish), std::ios::binary);
  if (!file) return std::nullopt;
  const Json record = Json::parse(file, nullptr, false);
  if (!record.is_object() || record.value("hash", "") != hash || !record.contains("outputs")) return std::nullopt;
  for (const Json& output : record["outputs"]) {
    std::error_code error;
    const auto size = fs::file_size(fs::path(wish.folder) / output.value("file", ""), error);
    if (error || size != output.value("bytes", std::uintmax_t{0})) return std::nullopt;
  }
  BatchRecord earlier;
  earlier.exit = record.value("result", "") == "contradictions" ? Exit::contradictions : Exit::done;
  earlier.unchanged = true;
  earlier.line = record.dump();
  return earlier;
}

std::string dumped(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// The files of one format, by the ending each has below the job's name.
std::vector<std::pair<std::string, std::string>> files_of(const std::string& format, const Worked& worked,
                                                          const BatchWish& wish, std::vector<std::string>& remarks) {
  if (format == "json") return {{".json", write_json(worked.result())}};
  const auto& drawings = drawing_endings();
  if (std::find(drawings.begin(), drawings.end(), format) != drawings.end()) {
    std::vector<std::string> files = drawn(format, worked, wish.drawing, remarks);
    std::vector<std::pair<std::string, std::string>> all;
    for (std::size_t i = 0; i < files.size(); ++i)
      all.emplace_back(numbered_path("." + format, i + 1), std::move(files[i]));
    return all;
  }
  const std::vector<JobFindings> jobs{worked.result()};
  return {{"." + format, format_of("x." + format)->write(jobs)}};
}

Json write_all(const BatchJob& job, const Worked& worked, const BatchWish& wish, Json& remarks) {
  Json outputs = Json::array();
  std::vector<std::string> said;
  for (const std::string& format : wish.formats) {
    try {
      for (auto& [ending, bytes] : files_of(format, worked, wish, said)) {
        const std::string file = job.name + ending;
        const fs::path path = fs::path(wish.folder) / file;
        make_folder(path.parent_path().string());
        write_output(path.string(), bytes);
        outputs.push_back({{"file", file}, {"bytes", bytes.size()}});
      }
    } catch (const CannotExport& cannot) {
      if (wish.formats_were_asked)
        throw JobWrong{fmt::format("error: {}\n  = hint: {}\n", cannot.what(), cannot.hint)};
      said.push_back(fmt::format("no {}: {}", format, cannot.what()));
    }
  }
  remarks = said;
  return outputs;
}

BatchRecord done_record(const BatchJob& job, const BatchWish& wish, Source source, const std::string& hash) {
  const Worked worked = work(std::move(source), wish.findings, false);
  const bool agree = worked.findings.verdict.kind == Verdict::Kind::agree;
  Json record{{"job", job.name},
              {"path", job.path},
              {"result", agree ? "done" : "contradictions"},
              {"verdict", word(worked.findings.verdict.kind)},
              {"site", worked.placed.site_name}};
  double length = 0;
  for (const LineFinding& line : worked.findings.lines) length += line.length;
  std::size_t locates = 0;
  for (const Run& run : worked.placed.runs) locates += run.locates.size();
  record["units"] = unit_word(worked.placed.unit);
  record["length"] = fixed(length / metres_per(worked.placed.unit), 2);
  record["locates"] = locates;
  record["items"] = worked.findings.items.size();
  record["digs"] = worked.findings.digs.size();
  Json mistakes = Json::array();
  for (const ExplanationFinding& x : worked.findings.explanations)
    if (x.probability >= 0.5) mistakes.push_back(x.says);
  record["mistakes"] = std::move(mistakes);
  record["outputs"] = write_all(job, worked, wish, record["remarks"]);
  record["hash"] = hash;
  const fs::path path = record_path(job, wish);
  make_folder(path.parent_path().string());
  write_output(path.string(), dumped(record) + "\n");
  return {agree ? Exit::done : Exit::contradictions, false, dumped(record), {}};
}

BatchRecord bad_record(const BatchJob& job, Exit exit, std::string_view result, const std::string& message) {
  const Json record{{"job", job.name}, {"path", job.path}, {"result", result}, {"message", message}};
  return {exit, false, dumped(record), message};
}

/// Keeps a wrong or failed job among the records that make the summary; without a hash it is tried again next time.
BatchRecord kept(BatchRecord record, const BatchJob& job, const BatchWish& wish) {
  try {
    const fs::path path = record_path(job, wish);
    make_folder(path.parent_path().string());
    write_output(path.string(), record.line + "\n");
  } catch (const CannotWrite& failure) {
    record.message += fmt::format("error: {}\n", failure.what());
  }
  return record;
}

BatchRecord failed_record(const BatchJob& job, const std::string& why) {
  return bad_record(job, Exit::internal, "failed", fmt::format("error: {}\n", why));
}

}  // namespace

BatchRecord lost_record(const BatchJob& job, const BatchWish& wish, const std::string& why) {
  return kept(failed_record(job, why), job, wish);
}

BatchRecord do_job(const BatchJob& job, const BatchWish& wish) {
  try {
    Source source = read_source(job.path);
    source.name = job.name;
    const std::string hash = content_hash(source, wish);
    if (!wish.again)
      if (auto earlier = earlier_record(job, wish, hash)) return *earlier;
    return done_record(job, wish, std::move(source), hash);
  } catch (const JobWrong& wrong) {
    return kept(bad_record(job, Exit::job_wrong, "wrong", wrong.message), job, wish);
  } catch (const CannotWrite& failure) {
    return bad_record(job, Exit::cannot_write, "not written", fmt::format("error: {}\n", failure.what()));
  } catch (const std::bad_alloc&) {
    return kept(failed_record(job, "out of memory"), job, wish);
  } catch (const std::exception& failure) {
    return kept(failed_record(job, failure.what()), job, wish);
  }
}

}  // namespace swingtie
