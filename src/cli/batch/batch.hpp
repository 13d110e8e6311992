#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "cli/drawing.hpp"

namespace swingtie {

/// A job of a batch and where its outputs go.
struct BatchJob {
  std::string path;  ///< of the job file
  std::string name;  ///< path of its outputs below the output folder, without an ending: `north/14-alder-court`
};

struct BatchList {
  std::vector<BatchJob> jobs;  ///< by name
  std::size_t not_jobs = 0;    ///< YAML files of the folders that are no jobs
};

/// The jobs of a command line: folders (searched through), files, glob patterns, `-` for a list on standard input.
/// A job called `job.yaml` is named after its folder. Throws Usage when two jobs would have one name, or for none.
BatchList list_jobs(const std::vector<std::string>& operands);

/// True for a path that is one job: a file, or a folder that holds a `job.yaml`; also for what does not exist.
bool is_one_job(const std::string& operand);

/// Keeps every count-th job, beginning with the index-th (from 1): `--shard 2/8`. Throws Usage for anything else.
void keep_shard(std::vector<BatchJob>& jobs, const std::string& shard);

/// What is to be written for every job.
struct BatchWish {
  std::string folder;                ///< output folder
  std::vector<std::string> formats;  ///< endings, without the dot
  bool formats_were_asked = false;   ///< else a format that a job cannot have is left out
  DrawingWish drawing;
  FindingsOptions findings;
  bool again = false;       ///< also what is done and unchanged
  std::string fingerprint;  ///< everything of the above that changes the outputs
};

/// How a job ended.
struct BatchRecord {
  Exit exit = Exit::done;
  bool unchanged = false;  ///< it was done before, and neither the job nor the wish has changed
  std::string line;        ///< a JSON object in one line: what is known of the job
  std::string message;     ///< for a person, when it is wrong or failed
};

/// Does one job: reads, solves, writes its files and then its record. Throws nothing but out of memory.
BatchRecord do_job(const BatchJob& job, const BatchWish& wish);

/// The record of a job whose worker died or took too long, kept for the summary in place of an earlier one.
BatchRecord lost_record(const BatchJob& job, const BatchWish& wish, const std::string& why);

/// Runs every job in worker processes and hands over the records in the order of the jobs.
/// @param workers  1 or more
/// @param seconds  a worker that takes longer for one job is ended
/// @param ended  called for each job as soon as it and all before it have ended
void run_workers(const std::vector<BatchJob>& jobs, const BatchWish& wish, std::size_t workers, double seconds,
                 const std::function<void(const BatchJob&, const BatchRecord&)>& ended);

/// All records below an output folder as CSV (RFC 4180), by job name: also those of other shards and earlier runs.
std::string summary_csv(const std::string& folder);

}  // namespace swingtie
