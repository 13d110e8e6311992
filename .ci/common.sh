# shellcheck shell=bash disable=SC2034
# What samples/run, tests/run and .ci/run have in common: the Debian packages, and the steps to a build.
# Sourced with the repository as the working directory; does nothing by itself.

# To build and run the program.
build_packages="
  cmake g++ ninja-build pkg-config
  catch2 libboost-dev libcairo2-dev libcli11-dev libcpp-httplib-dev libeigen3-dev libfmt-dev libgdal-dev libpango1.0-dev libpng-dev
  libfreetype-dev libjpeg-dev libproj-dev libqpdf-dev libqrencode-dev libyaml-cpp-dev
  nlohmann-json3-dev
  fonts-b612 fonts-dejavu-core fonts-routed-gothic proj-data"

# The page is bundled by npm; one that is there already, from wherever it came, will do.
command -v npm >/dev/null || build_packages="$build_packages nodejs npm"

# To check what it writes with programs of other people.
test_packages="
  chromium gdal-bin imagemagick librsvg2-bin locales parallel poppler-utils proj-bin python3
  python3-jsonschema python3-yaml qpdf zbar-tools"

# For the further checks of .ci/run.
ci_packages="
  clang clang-format clang-tidy clang-tools libclang-rt-14-dev shellcheck valgrind"

# install_missing PACKAGE…: installs by apt those that are not there. As root, or through sudo; asks nothing.
install_missing() {
  local missing=() package as_root=()
  for package in "$@"; do
    if [ "$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null)" != installed ]; then
      missing+=("$package")
    fi
  done
  [ ${#missing[@]} -gt 0 ] || return 0
  if ! command -v apt-get >/dev/null; then
    echo "these Debian packages are needed and there is no apt-get to install them: ${missing[*]}" >&2
    return 1
  fi
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
      echo "these Debian packages are needed; install them as root: apt-get install ${missing[*]}" >&2
      return 1
    fi
    as_root=(sudo)
  fi
  echo "installing ${missing[*]}"
  local apt=("${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -q -y -o Dpkg::Use-Pty=0)
  # The lists may be absent or too old for what the mirror still holds: one refresh, then the install must succeed.
  "${apt[@]}" install --no-install-recommends "${missing[@]}" </dev/null >/dev/null 2>&1 && return 0
  "${apt[@]}" update </dev/null >/dev/null
  "${apt[@]}" install --no-install-recommends "${missing[@]}" </dev/null >/dev/null
}

# How many compilers to run at once: one for each processor, as far as the memory goes (about 1.5 GB for the largest file).
build_jobs() {
  local processors memory_kb by_memory
  processors=$(nproc)
  memory_kb=$(awk '/^MemAvailable:/ {print $2}' /proc/meminfo 2>/dev/null)
  by_memory=$((${memory_kb:-3000000} / 1500000))
  [ "$by_memory" -ge 1 ] || by_memory=1
  echo $((processors < by_memory ? processors : by_memory))
}

# configure PRESET [CMAKE-OPTION…]: silent unless it fails.
configure() {
  local output
  output=$(cmake --preset "$@" 2>&1) || { echo "$output" >&2; return 1; }
}

# build_release --target TARGET: configures and builds. The first time on a machine without ccache several files are compiled as
# one, which takes a third of the time.
build_release() {
  [ -e build/release/CMakeCache.txt ] || command -v ccache >/dev/null || configure release -DCMAKE_UNITY_BUILD=ON || return
  build_preset release "$@"
}

# build_preset PRESET --target TARGET: configures and builds. Should the names of files that are compiled as one collide, each is
# compiled alone after all.
build_preset() {
  local preset=$1
  shift
  configure "$preset" || return
  cmake --build "build/$preset" -j "$(build_jobs)" "$@" && return
  grep -q '^CMAKE_UNITY_BUILD:[A-Z]*=ON' "build/$preset/CMakeCache.txt" || return
  echo "once more, each file alone"
  configure "$preset" -DCMAKE_UNITY_BUILD=OFF && cmake --build "build/$preset" -j "$(build_jobs)" "$@"
}
