#include "place/file_fence.hpp"

#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

using namespace swingtie;
namespace fs = std::filesystem;

namespace {

/// jobs/ with a file, a shapefile of two parts and links; secret/ beside it.
class Folders {
 public:
  Folders() : root(fs::temp_directory_path() / ("swingtie-fence-" + std::to_string(getpid()))) {
    fs::create_directories(root / "jobs" / "one");
    fs::create_directories(root / "secret");
    for (const char* name :
         {"jobs/one/lots.gpkg", "jobs/top.gpkg", "secret/lots.gpkg", "secret/parts.dbf", "jobs/parts.shp"})
      std::ofstream(root / name) << "x";
  }
  ~Folders() { fs::remove_all(root); }
  Folders(const Folders&) = delete;
  Folders& operator=(const Folders&) = delete;

  bool opens(const std::string& name) const {
    return FileFence{(root / "jobs" / "one").string(), (root / "jobs").string()}.path(name).has_value();
  }

  fs::path root;
};

}  // namespace

TEST_CASE("a fence lets through what lies inside it, whether it is there or not") {
  const Folders folders;
  for (const char* name : {"lots.gpkg", "./lots.gpkg", "../top.gpkg", "../one/lots.gpkg", "absent.gpkg", "."}) {
    INFO(name);
    CHECK(folders.opens(name));
  }
  CHECK(folders.opens((folders.root / "jobs/top.gpkg").string()));
}

TEST_CASE("a fence holds back what lies outside it, by whatever way") {
  const Folders folders;
  fs::create_symlink(folders.root / "secret/lots.gpkg", folders.root / "jobs/one/link.gpkg");
  fs::create_directory_symlink(folders.root / "secret", folders.root / "jobs/one/way");
  for (const char* name :
       {"../../secret/lots.gpkg", "/etc/passwd", "link.gpkg", "way/lots.gpkg", "way", "../..", "way/../lots.gpkg"}) {
    INFO(name);
    CHECK_FALSE(folders.opens(name));
  }
  CHECK_FALSE(folders.opens(std::string("lots.gpkg\0.gpkg", 15)));
  // A folder whose name only begins like the fence's.
  fs::create_directories(folders.root / "jobs-too");
  CHECK_FALSE(folders.opens("../../jobs-too/x.gpkg"));
}

TEST_CASE("a file is held back when a part that is read with it is a link out of the fence") {
  const Folders folders;
  CHECK(folders.opens("../parts.shp"));
  fs::create_symlink(folders.root / "secret/parts.dbf", folders.root / "jobs/parts.dbf");
  CHECK_FALSE(folders.opens("../parts.shp"));
  CHECK(folders.opens("../top.gpkg"));
}

TEST_CASE("without a fence any file may be named") {
  CHECK(FileFence{"/somewhere", {}}.path("../etc/passwd") == "/somewhere/../etc/passwd");
  CHECK(FileFence{"/somewhere", {}}.path("/etc/passwd") == "/etc/passwd");
  CHECK(FileFence{}.path("x.gpkg") == "x.gpkg");
}
