#include "place/file_fence.hpp"

#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

using namespace swingtie;
namespace fs = std::filesystem;

namespace {

/// jobs/ with a file, a shapefile of two parts and links; secret/ beside it.
class Ground {
 public:
  Ground() : root(fs::temp_directory_path() / ("swingtie-fence-" + std::to_string(getpid()))) {
    fs::create_directories(root / "jobs" / "one");
    fs::create_directories(root / "secret");
    for (const char* name :
         {"jobs/one/lots.gpkg", "jobs/top.gpkg", "secret/lots.gpkg", "secret/parts.dbf", "jobs/parts.shp"})
      std::ofstream(root / name) << "x";
  }
  ~Ground() { fs::remove_all(root); }
  Ground(const Ground&) = delete;
  Ground& operator=(const Ground&) = delete;

  bool opens(const std::string& name) const {
    return FileFence{(root / "jobs" / "one").string(), (root / "jobs").string()}.path(name).has_value();
  }

  fs::path root;
};

}  // namespace

TEST_CASE("a fence lets through what lies inside it, whether it is there or not") {
  const Ground ground;
  for (const char* name : {"lots.gpkg", "./lots.gpkg", "../top.gpkg", "../one/lots.gpkg", "absent.gpkg", "."}) {
    INFO(name);
    CHECK(ground.opens(name));
  }
  CHECK(ground.opens((ground.root / "jobs/top.gpkg").string()));
}

TEST_CASE("a fence holds back what lies outside it, by whatever way") {
  const Ground ground;
  fs::create_symlink(ground.root / "secret/lots.gpkg", ground.root / "jobs/one/link.gpkg");
  fs::create_directory_symlink(ground.root / "secret", ground.root / "jobs/one/way");
  for (const char* name :
       {"../../secret/lots.gpkg", "/etc/passwd", "link.gpkg", "way/lots.gpkg", "way", "../..", "way/../lots.gpkg"}) {
    INFO(name);
    CHECK_FALSE(ground.opens(name));
  }
  CHECK_FALSE(ground.opens(std::string("lots.gpkg\0.gpkg", 15)));
  // A folder whose name only begins like the fence's.
  fs::create_directories(ground.root / "jobs-too");
  CHECK_FALSE(ground.opens("../../jobs-too/x.gpkg"));
}

TEST_CASE("a file is held back when a part that is read with it is a link out of the fence") {
  const Ground ground;
  CHECK(ground.opens("../parts.shp"));
  fs::create_symlink(ground.root / "secret/parts.dbf", ground.root / "jobs/parts.dbf");
  CHECK_FALSE(ground.opens("../parts.shp"));
  CHECK(ground.opens("../top.gpkg"));
}

TEST_CASE("without a fence any file may be named") {
  CHECK(FileFence{"/somewhere", {}}.path("../etc/passwd") == "/somewhere/../etc/passwd");
  CHECK(FileFence{"/somewhere", {}}.path("/etc/passwd") == "/etc/passwd");
  CHECK(FileFence{}.path("x.gpkg") == "x.gpkg");
}
