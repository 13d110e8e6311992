#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>

#include "whole/program.hpp"

// A real PostgreSQL with PostGIS, started for this test on a socket in a scratch folder and stopped at its end.

using namespace swingtie;
namespace fs = std::filesystem;

namespace {

const std::string job = SWINGTIE_SOURCE_DIR "/tests/exchange/jobs/kestrel.yaml";

/// A database server of its own; PostgreSQL refuses to run as root, so root runs it as the user `postgres`.
class Server {
 public:
  Server() {
    const Outcome found = run_command("ls -d /usr/lib/postgresql/*/bin | tail -1");
    if (found.out.empty() || run_command("ls /usr/share/postgresql/*/extension/postgis.control").exit_code != 0)
      return;
    programs_ = found.out.substr(0, found.out.size() - 1);
    fs::permissions(scratch_.path(""), fs::perms::all);
    running_ =
        as_server(programs_ + "/initdb -D " + data() + " -A trust -U city -E UTF8 --locale=C").exit_code == 0 &&
        as_server(programs_ + "/pg_ctl -D " + data() + " -w -l " + scratch_.path("log") + " -o \"-k " +
                  scratch_.path("") + " -c listen_addresses='' -c fsync=off\" start")
                .exit_code == 0 &&
        run_command(programs_ + "/createdb -h " + scratch_.path("") + " -U city gis").exit_code == 0 &&
        ask("CREATE EXTENSION postgis").exit_code == 0;
  }
  ~Server() {
    if (!programs_.empty()) as_server(programs_ + "/pg_ctl -D " + data() + " -m immediate stop");
  }
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  bool running() const { return running_; }
  std::string connection() const { return "PG:host=" + scratch_.path("") + " user=city dbname=gis"; }
  Outcome ask(const std::string& question) const {
    return run_command(programs_ + "/psql -h " + scratch_.path("") + " -U city -At -v ON_ERROR_STOP=1 gis -c \"" +
                       question + "\"");
  }

 private:
  std::string data() const { return scratch_.path("data"); }
  static Outcome as_server(const std::string& command) {
    if (geteuid() != 0) return run_command(command);
    return run_command("cd / && setpriv --reuid=postgres --regid=postgres --clear-groups " + command);
  }

  ScratchFolder scratch_;
  std::string programs_;
  bool running_ = false;
};

}  // namespace

TEST_CASE("a job appended to PostGIS is there once, whole, however often and however rudely it is sent") {
  const Server server;
  if (!server.running()) {
    WARN("skipped: no PostgreSQL with PostGIS to start");
    return;
  }
  const std::vector<std::string> send{"export", job, "--to", server.connection(), "--schema", "laterals"};
  const Outcome first = run_swingtie(send);
  INFO(first.err);
  REQUIRE(first.exit_code == 0);
  const std::string counts =
      "SELECT (SELECT count(*) FROM laterals.items), (SELECT count(*) FROM laterals.features), "
      "(SELECT count(*) FROM laterals.jobs)";
  const std::string whole = server.ask(counts).out;
  CHECK(whole == "7|7|1\n");

  SECTION("twice: no doubles") {
    CHECK(run_swingtie(send).exit_code == 0);
    CHECK(server.ask(counts).out == whole);
  }
  SECTION("killed on the way: all or nothing") {
    server.ask("DELETE FROM laterals.jobs");
    for (int i = 0; i < 20; ++i) {
      const pid_t process = fork();
      if (process == 0) {
        if (!freopen("/dev/null", "w", stderr)) _exit(1);
        execl(SWINGTIE_PROGRAM, "swingtie", "export", job.c_str(), "--to", server.connection().c_str(), "--schema",
              "laterals", nullptr);
        _exit(127);
      }
      usleep(static_cast<useconds_t>(20000 * i));
      kill(process, SIGKILL);
      waitpid(process, nullptr, 0);
      const std::string left = server.ask(counts).out;
      CHECK((left == whole || left == "0|0|0\n"));
    }
    CHECK(run_swingtie(send).exit_code == 0);
    CHECK(server.ask(counts).out == whole);
  }
  SECTION("killed in the middle of its transaction, when it has written half of its rows: nothing") {
    server.ask("DELETE FROM laterals.jobs");
    // Somebody else holds the table that comes late in the order, so the program waits there with its earlier rows
    // written and not yet committed.
    const pid_t holder = fork();
    if (holder == 0) {
      if (!freopen("/dev/null", "w", stdout)) _exit(1);
      server.ask("BEGIN; LOCK TABLE laterals.items; SELECT pg_sleep(60)");
      _exit(0);
    }
    const auto waits_for_lock = [&](const char* mode) {
      return std::string("SELECT count(*) FROM pg_locks WHERE relation = 'laterals.items'::regclass AND ") + mode;
    };
    const auto wait_until = [&](const std::string& question) {
      for (int i = 0; i < 600; ++i) {
        if (server.ask(question).out == "1\n") return true;
        usleep(50000);
      }
      return false;
    };
    REQUIRE(wait_until(waits_for_lock("granted AND mode = 'AccessExclusiveLock'")));
    const pid_t process = fork();
    if (process == 0) {
      if (!freopen("/dev/null", "w", stderr)) _exit(1);
      execl(SWINGTIE_PROGRAM, "swingtie", "export", job.c_str(), "--to", server.connection().c_str(), "--schema",
            "laterals", nullptr);
      _exit(127);
    }
    const bool in_the_middle = wait_until(waits_for_lock("NOT granted"));
    kill(process, SIGKILL);
    waitpid(process, nullptr, 0);
    server.ask(
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query LIKE '%pg_sleep%' AND pid <> "
        "pg_backend_pid()");
    waitpid(holder, nullptr, 0);
    CHECK(in_the_middle);
    CHECK(server.ask(counts).out == "0|0|0\n");
    CHECK(run_swingtie(send).exit_code == 0);
    CHECK(server.ask(counts).out == whole);
  }
  SECTION("geometry lies where the CRS says, has its reference system, and is valid") {
    // The lot's south-west corner, EPSG:2269 7662400 671800, by PostGIS' own transformation.
    CHECK(server.ask("SELECT count(*) FROM laterals.features WHERE NOT ST_IsValid(geom) OR ST_SRID(geom) <> 4326")
              .out == "0\n");
    CHECK(server
              .ask("SELECT ST_DWithin(geom::geography, ST_Transform(ST_SetSRID(ST_MakePoint(7662400, 671800), 2269), "
                   "4326)::geography, 0.001) FROM laterals.features WHERE feature = 'lot'")
              .out == "t\n");
    CHECK(
        server.ask("SELECT count(*) FROM pg_indexes WHERE schemaname = 'laterals' AND indexdef LIKE '%gist%'").out ==
        "13\n");
  }
  SECTION("a row that claims an impossible probability is refused") {
    CHECK(server.ask("UPDATE laterals.items SET p_private = 1.5").exit_code != 0);
  }
}

TEST_CASE("a database that cannot be reached is said to be so, with the exit code of what could not be written") {
  const Outcome outcome = run_swingtie({"export", job, "--to", "PG:host=/nowhere dbname=gis"});
  CHECK(outcome.exit_code == 3);
  CHECK(outcome.err.find("could not reach the database") != std::string::npos);
}
