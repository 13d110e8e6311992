#include "serve/server.hpp"

#include <httplib.h>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <optional>
#include <system_error>
#include <thread>
#include <utility>

#include "serve/api.hpp"
#include "serve/guard.hpp"
#include "serve/job_folder.hpp"
#include "serve/kept_key.hpp"
#include "serve/page_files.hpp"

namespace swingtie {
namespace {

/// A job is 1 MiB at most, and JSON escapes some of it; a photo is made smaller by the page before it is sent.
constexpr std::size_t largest_body = std::size_t{4} << 20;
/// A browser opens connections ahead of need and leaves them silent, and each holds a thread until it times out.
constexpr std::size_t most_connections = 128;

/// How many jobs are worked on at the same time: more than there are processors would only slow each other down, and
/// saving must not wait for any of them.
class Workbench {
 public:
  class Seat {
   public:
    explicit Seat(Workbench& bench) : bench_(bench) {
      std::unique_lock lock(bench_.mutex_);
      bench_.freed_.wait(lock, [&] { return bench_.free_ > 0; });
      --bench_.free_;
    }
    ~Seat() {
      {
        const std::lock_guard lock(bench_.mutex_);
        ++bench_.free_;
      }
      bench_.freed_.notify_one();
    }
    Seat(const Seat&) = delete;
    Seat& operator=(const Seat&) = delete;

   private:
    Workbench& bench_;
  };

 private:
  std::mutex mutex_;
  std::condition_variable freed_;
  unsigned free_ = std::max(2u, std::thread::hardware_concurrency());
};

/// The page loads nothing from anywhere else and is shown in no other page's frame.
const httplib::Headers page_headers = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; "
     "connect-src 'self'; font-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; "
     "frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "no-referrer"},
    {"Cache-Control", "no-store"},
};

void refuse(httplib::Response& response, int status, const char* why) {
  response.status = status;
  response.set_content(std::string("{\"error\":\"") + why + "\"}", "application/json");
}

/// @return true when the request may go on
bool let_in(Guard& guard, const httplib::Request& request, httplib::Response& response) {
  // The library holds a body of stated length to its limit, and one in pieces to none.
  if (request.has_header("Transfer-Encoding") ||
      ((request.method == "PUT" || request.method == "POST") && !request.has_header("Content-Length"))) {
    refuse(response, 411, "a body must say its length");
    return false;
  }
  const bool needs_token = request.path.starts_with("/api/");
  const Caller caller{request.remote_addr, request.get_header_value("Host"), request.get_header_value("Origin"),
                      request.get_header_value("X-Swingtie-Token")};
  switch (guard.judge(caller, needs_token, std::chrono::steady_clock::now())) {
    case Guard::Verdict::welcome:
      return true;
    case Guard::Verdict::wrong_host:
      refuse(response, 421, "this server is not reached by that name");
      break;
    case Guard::Verdict::wrong_origin:
      refuse(response, 403, "another page may not call this server");
      break;
    case Guard::Verdict::wrong_token:
      refuse(response, 401, "open the address that swingtie serve printed: it carries the key");
      break;
    case Guard::Verdict::too_fast:
      refuse(response, 429, "too many requests; wait ten seconds");
      break;
  }
  return false;
}

void send_page_file(const httplib::Request& request, httplib::Response& response) {
  const std::string_view wanted = request.path == "/" ? "/index.html" : std::string_view(request.path);
  const auto files = page_files();
  const auto file = std::find_if(files.begin(), files.end(), [&](const PageFile& f) { return f.path == wanted; });
  if (file == files.end()) return refuse(response, 404, "no such page");
  response.set_content(file->bytes.data(), file->bytes.size(), std::string(file->type));
}

/// A file name that needs no quoting anywhere.
std::string plain(std::string name) {
  std::replace_if(
      name.begin(), name.end(),
      [](unsigned char c) { return std::isalnum(c) == 0 && c != '.' && c != '-' && c != '_'; }, '-');
  return name;
}

void send_answer(JobFolder& folder, Workbench& bench, const httplib::Request& request, httplib::Response& response) {
  try {
    std::optional<Workbench::Seat> seat;
    if (request.method == "POST") seat.emplace(bench);
    auto made = answer(folder, request.method, request.path, request.body);
    response.status = made.status;
    if (!made.file_name.empty())
      response.set_header("Content-Disposition", "attachment; filename=\"" + plain(made.file_name) + "\"");
    response.set_content(std::move(made.body), made.type);
  } catch (const std::system_error& error) {
    refuse(response, error.code().value() == EFBIG ? 413 : 500, "the disk refused");
    response.set_content(R"({"error":")" + error.code().message() + R"("})", "application/json");
  }
}

}  // namespace

void serve(const ServeOptions& options,
           const std::function<void(const std::string& url, const std::function<void()>& stop)>& ready) {
  JobFolder folder(options.folder);
  httplib::Server server;
  server.set_payload_max_length(largest_body);
  server.set_read_timeout(5);
  server.set_write_timeout(10);
  // A connection that is kept open keeps a thread with it; on one machine a new one costs nothing.
  server.set_keep_alive_max_count(1);
  server.set_tcp_nodelay(true);
  server.set_default_headers(page_headers);
  server.new_task_queue = [] { return new httplib::ThreadPool(most_connections); };

  int port = options.port;
  if (port == 0) {
    port = server.bind_to_any_port(options.address);
  } else if (!server.bind_to_port(options.address, port)) {
    port = -1;
  }
  if (port < 0) {
    throw std::system_error(errno != 0 ? errno : EADDRNOTAVAIL, std::generic_category(),
                            "listening on " + options.address + " port " + std::to_string(options.port));
  }
  const std::string token = is_loopback(options.address) ? kept_key(options.folder) : random_token();
  Guard guard(options.address, port, token);

  server.set_pre_routing_handler([&](const httplib::Request& request, httplib::Response& response) {
    return let_in(guard, request, response) ? httplib::Server::HandlerResponse::Unhandled
                                            : httplib::Server::HandlerResponse::Handled;
  });
  // The library puts an exception's text into a header; ours never reach it, and a stranger's says nothing.
  server.set_exception_handler([](const httplib::Request&, httplib::Response& response, const std::exception_ptr&) {
    refuse(response, 500, "internal error; the job on the disk is unchanged");
  });
  Workbench bench;
  const auto api = [&](const httplib::Request& request, httplib::Response& response) {
    send_answer(folder, bench, request, response);
  };
  server.Get("/api/.*", api).Post("/api/.*", api).Put("/api/.*", api);
  server.Get("/.*", send_page_file);

  const std::string host =
      options.address.find(':') != std::string::npos ? "[" + options.address + "]" : options.address;
  ready("http://" + host + ":" + std::to_string(port) + "/#key=" + token, [&] { server.stop(); });
  server.listen_after_bind();
}

}  // namespace swingtie
