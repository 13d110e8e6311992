#include "serve/job_folder.hpp"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <system_error>
#include <thread>
#include <vector>

#include "scratch_folder.hpp"

using namespace swingtie;
namespace fs = std::filesystem;

TEST_CASE("names that could leave the folder or trip something over are no job names") {
  for (const char* bad : {"", "/etc/passwd.yaml", "../x.yaml", "a/../x.yaml", "a//x.yaml", ".hidden.yaml",
                          "a/.b/x.yaml", "x.txt", "x.yaml/", "a\\b.yaml", "a\nb.yaml", "./x.yaml",
                          "\xc0\xae\xc0\xae/x.yaml", "\xed\xa0\x80.yaml", "\xff.yaml", "a/b/c/d/e/x.yaml"}) {
    INFO(bad);
    CHECK_FALSE(JobFolder::is_job_name(bad));
  }
  for (const char* good : {"x.yaml", "alder court/job.yml", "Über 4.yaml"}) CHECK(JobFolder::is_job_name(good));
}

TEST_CASE("jobs are listed by name, sorted, hidden files and links left out") {
  const ScratchFolder scratch;
  scratch.write("b.yaml", "b");
  scratch.write("a/job.yaml", "a");
  scratch.write("note.txt", "no");
  scratch.write(".git/x.yaml", "no");
  fs::create_symlink("b.yaml", scratch.path("link.yaml"));
  fs::create_directory_symlink("a", scratch.path("c"));
  CHECK(JobFolder(scratch.path()).list() == std::vector<std::string>{"a/job.yaml", "b.yaml"});
}

TEST_CASE("a link inside the folder reaches nothing outside it") {
  const ScratchFolder outside, scratch;
  outside.write("secret.yaml", "secret");
  fs::create_symlink(outside.path("secret.yaml"), scratch.path("x.yaml"));
  fs::create_directory_symlink(outside.path(), scratch.path("d"));
  JobFolder folder(scratch.path());
  CHECK_FALSE(folder.read("x.yaml"));
  CHECK_FALSE(folder.read("d/secret.yaml"));
  CHECK_THROWS_AS(folder.save("d/secret.yaml", "mine", content_version("secret")), std::system_error);
  CHECK(JobFolder(outside.path()).read("secret.yaml")->text == "secret");
}

TEST_CASE("saving over a link replaces the link and not what it points at") {
  const ScratchFolder outside, scratch;
  outside.write("secret.yaml", "secret");
  fs::create_symlink(outside.path("secret.yaml"), scratch.path("x.yaml"));
  CHECK(JobFolder(scratch.path()).save("x.yaml", "mine", "").done);
  CHECK(JobFolder(outside.path()).read("secret.yaml")->text == "secret");
  CHECK(JobFolder(scratch.path()).read("x.yaml")->text == "mine");
}

TEST_CASE("a text is written only over the version it was made from") {
  const ScratchFolder scratch;
  JobFolder folder(scratch.path());
  const auto first = folder.save("new/x.yaml", "one", "");
  REQUIRE(first.done);
  CHECK(folder.read("new/x.yaml")->version == first.version);
  const auto second = folder.save("new/x.yaml", "two", first.version);
  REQUIRE(second.done);
  const auto late = folder.save("new/x.yaml", "three", first.version);
  CHECK_FALSE(late.done);
  CHECK(late.text == "two");
  CHECK(late.version == second.version);
  CHECK(folder.read("new/x.yaml")->text == "two");
}

TEST_CASE("of many writers from one version exactly one is taken") {
  const ScratchFolder scratch;
  JobFolder folder(scratch.path());
  const auto base = folder.save("x.yaml", "base", "").version;
  std::vector<int> taken(16);
  std::vector<std::thread> writers;
  for (std::size_t i = 0; i < taken.size(); ++i)
    writers.emplace_back([&, i] { taken[i] = folder.save("x.yaml", "writer " + std::to_string(i), base).done; });
  for (auto& writer : writers) writer.join();
  int sum = 0;
  for (const int t : taken) sum += t;
  CHECK(sum == 1);
  std::size_t files = 0;
  for (const auto& entry : fs::directory_iterator(scratch.path())) files += entry.path().filename() != "x.yaml";
  CHECK(files == 0);
}

TEST_CASE("a file too large, a folder or a pipe is no job") {
  const ScratchFolder scratch;
  scratch.write("big.yaml", std::string((1 << 20) + 1, 'x'));
  fs::create_directory(scratch.path("d.yaml"));
  std::system(("mkfifo '" + scratch.path("p.yaml") + "'").c_str());
  const JobFolder folder(scratch.path());
  CHECK_THROWS_AS(folder.read("big.yaml"), std::system_error);
  CHECK_FALSE(folder.read("d.yaml"));
  CHECK_FALSE(folder.read("p.yaml"));
  CHECK_FALSE(folder.read("absent.yaml"));
}
