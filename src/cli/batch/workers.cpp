#include <fmt/format.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdint>
#include <cstring>
#include <map>
#include <optional>
#include <stdexcept>
#include <utility>

#include "cli/batch/batch.hpp"

namespace swingtie {
namespace {

using Clock = std::chrono::steady_clock;

/// A worker process is replaced after so many jobs, so that nothing a library keeps can add up.
constexpr int jobs_per_worker = 500;

bool send_all(int socket, const void* data, std::size_t size) {
  const char* at = static_cast<const char*>(data);
  while (size > 0) {
    const ssize_t sent = ::send(socket, at, size, MSG_NOSIGNAL);
    if (sent < 0 && errno == EINTR) continue;
    if (sent <= 0) return false;
    at += sent;
    size -= static_cast<std::size_t>(sent);
  }
  return true;
}

bool receive_all(int socket, void* data, std::size_t size) {
  char* at = static_cast<char*>(data);
  while (size > 0) {
    const ssize_t got = ::recv(socket, at, size, 0);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return false;
    at += got;
    size -= static_cast<std::size_t>(got);
  }
  return true;
}

struct Header {
  int exit = 0;
  int unchanged = 0;
  std::size_t line = 0, message = 0;
};

bool send_record(int socket, const BatchRecord& record) {
  const Header header{static_cast<int>(record.exit), record.unchanged, record.line.size(), record.message.size()};
  return send_all(socket, &header, sizeof header) && send_all(socket, record.line.data(), record.line.size()) &&
         send_all(socket, record.message.data(), record.message.size());
}

std::optional<BatchRecord> receive_record(int socket) {
  Header header;
  if (!receive_all(socket, &header, sizeof header)) return std::nullopt;
  BatchRecord record{static_cast<Exit>(header.exit), header.unchanged != 0, std::string(header.line, '\0'),
                     std::string(header.message, '\0')};
  if (!receive_all(socket, record.line.data(), record.line.size()) ||
      !receive_all(socket, record.message.data(), record.message.size()))
    return std::nullopt;
  return record;
}

/// A process that does one job after the other: a crash, a leak or a hang of one job is its own only.
class Worker {
 public:
  Worker(const std::vector<BatchJob>& jobs, const BatchWish& wish) {
    int ends[2];
    if (::socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) != 0)
      throw std::runtime_error(fmt::format("cannot talk to a worker: {}", std::strerror(errno)));
    process_ = ::fork();
    if (process_ < 0) {
      const int error = errno;
      ::close(ends[0]);
      ::close(ends[1]);
      throw std::runtime_error(fmt::format("cannot start a worker: {}", std::strerror(error)));
    }
    if (process_ == 0) {
      ::prctl(PR_SET_PDEATHSIG, SIGKILL);
      ::close(ends[0]);
      serve(ends[1], jobs, wish);
      ::_exit(0);
    }
    ::close(ends[1]);
    socket_ = ends[0];
  }
  Worker(Worker&& other) noexcept
      : process_(std::exchange(other.process_, -1)),
        socket_(std::exchange(other.socket_, -1)),
        job_(other.job_),
        until_(other.until_),
        done_(other.done_) {}
  Worker& operator=(Worker&& other) noexcept {
    std::swap(process_, other.process_);
    std::swap(socket_, other.socket_);
    job_ = other.job_;
    until_ = other.until_;
    done_ = other.done_;
    return *this;
  }
  ~Worker() {
    if (socket_ >= 0) ::close(socket_);
    if (process_ > 0) end();
  }

  void give(std::size_t job, double seconds) {
    job_ = job;
    until_ = Clock::now() + std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds));
    const std::uint64_t index = job;
    send_all(socket_, &index, sizeof index);
  }
  std::optional<std::size_t> job() const { return job_; }
  int socket() const { return socket_; }
  Clock::time_point until() const { return until_; }
  bool worn_out() const { return done_ >= jobs_per_worker; }

  std::optional<BatchRecord> result() {
    std::optional<BatchRecord> record = receive_record(socket_);
    job_.reset();
    ++done_;
    return record;
  }

  /// Ends the process and says how it ended by itself, if it did.
  std::string end() {
    ::close(std::exchange(socket_, -1));
    int status = 0;
    if (::waitpid(process_, &status, WNOHANG) == 0) {
      // It may be on its way out after its socket closed; a hung one is not waited for.
      ::kill(process_, SIGKILL);
      ::waitpid(process_, &status, 0);
    }
    process_ = -1;
    if (WIFSIGNALED(status))
      return fmt::format("ended by signal {} ({})", WTERMSIG(status), ::strsignal(WTERMSIG(status)));
    return fmt::format("ended with {}", WEXITSTATUS(status));
  }

 private:
  [[noreturn]] static void serve(int socket, const std::vector<BatchJob>& jobs, const BatchWish& wish) {
    std::uint64_t index = 0;
    while (receive_all(socket, &index, sizeof index)) {
      try {
        if (!send_record(socket, do_job(jobs.at(index), wish))) break;
      } catch (...) {
        // Only memory can run out here; the parent reports the job of a worker that ends.
        break;
      }
    }
    ::_exit(0);
  }

  pid_t process_ = -1;
  int socket_ = -1;
  std::optional<std::size_t> job_;
  Clock::time_point until_{};
  int done_ = 0;
};

class Pool {
 public:
  Pool(const std::vector<BatchJob>& jobs, const BatchWish& wish, std::size_t workers, double seconds)
      : jobs_(jobs), wish_(wish), seconds_(seconds) {
    for (std::size_t i = 0; i < std::min(workers, jobs.size()); ++i) workers_.emplace_back(jobs, wish);
  }

  void run(const std::function<void(const BatchJob&, const BatchRecord&)>& ended) {
    for (Worker& worker : workers_) give_next(worker);
    std::size_t reported = 0;
    while (reported < jobs_.size()) {
      wait();
      for (auto at = ready_.find(reported); at != ready_.end(); at = ready_.find(reported)) {
        ended(jobs_[reported], at->second);
        ready_.erase(at);
        ++reported;
      }
    }
  }

 private:
  void give_next(Worker& worker) {
    if (next_ >= jobs_.size()) return;
    if (worker.worn_out()) worker = Worker(jobs_, wish_);
    worker.give(next_++, seconds_);
  }

  void replace(Worker& worker, std::size_t job, const std::string& why) {
    ready_.emplace(job, lost_record(jobs_[job], wish_, why));
    worker = Worker(jobs_, wish_);
    give_next(worker);
  }

  void wait() {
    std::vector<pollfd> sockets;
    std::vector<Worker*> busy;
    Clock::time_point soonest = Clock::time_point::max();
    for (Worker& worker : workers_) {
      if (!worker.job()) continue;
      sockets.push_back({worker.socket(), POLLIN, 0});
      busy.push_back(&worker);
      soonest = std::min(soonest, worker.until());
    }
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(soonest - Clock::now()).count();
    ::poll(sockets.data(), sockets.size(), static_cast<int>(std::max<long long>(0, left) + 1));
    const Clock::time_point now = Clock::now();
    for (std::size_t i = 0; i < busy.size(); ++i) {
      Worker& worker = *busy[i];
      if (sockets[i].revents != 0) {
        const std::size_t job = *worker.job();
        if (auto record = worker.result()) {
          ready_.emplace(job, std::move(*record));
          give_next(worker);
        } else {
          replace(worker, job, "the worker " + worker.end());
        }
      } else if (now >= worker.until()) {
        replace(worker, *worker.job(), fmt::format("it took longer than {:g} s", seconds_));
      }
    }
  }

  const std::vector<BatchJob>& jobs_;
  const BatchWish& wish_;
  double seconds_;
  std::vector<Worker> workers_;
  std::size_t next_ = 0;
  std::map<std::size_t, BatchRecord> ready_;  ///< ended, but a job before it has not
};

}  // namespace

void run_workers(const std::vector<BatchJob>& jobs, const BatchWish& wish, std::size_t workers, double seconds,
                 const std::function<void(const BatchJob&, const BatchRecord&)>& ended) {
  Pool(jobs, wish, workers, seconds).run(ended);
}

}  // namespace swingtie
