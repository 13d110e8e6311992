# shellcheck shell=bash
# A root folder that holds nothing but a bare Debian 12, which is told of the same package mirrors, and whose certificates to
# trust, as this machine. For the scripts beside this one; sourced as root, with debootstrap installed. Removed when the script
# ends.

root=$(mktemp -d /tmp/swingtie-root-XXXXXX)
# What was mounted inside goes first, or the removal would reach outside.
trap 'umount "$root/dev/shm" "$root/proc" 2>/dev/null || true; rm -rf --one-file-system "$root"' EXIT

step() { echo "$SECONDS s: $*"; }
inside() {
  chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LC_ALL=C.UTF-8 DEBIAN_FRONTEND=noninteractive \
    ${NODE_EXTRA_CA_CERTS:+NODE_EXTRA_CA_CERTS=/root/ca.pem} "$@"
}

# make_root LOG
make_root() {
  local mirror file
  # shellcheck disable=SC2016  # apt's own variable
  mirror=$(apt-get indextargets --format '$(REPO_URI)' 'Created-By: Packages' | head -1)
  debootstrap --variant=minbase bookworm "$root" "$mirror" >"$1" 2>&1 || { tail -5 "$1"; return 1; }
  for file in /etc/apt/sources.list /etc/apt/sources.list.d /etc/apt/apt.conf.d /etc/apt/auth.conf.d /etc/resolv.conf /etc/hosts \
    /etc/npmrc /root/.npmrc /usr/local/share/ca-certificates; do
    [ ! -e $file ] || { rm -rf "${root:?}$file"; mkdir -p "$root${file%/*}"; cp -aL $file "$root$file"; }
  done
  [ -z "${NODE_EXTRA_CA_CERTS-}" ] || cp -L "$NODE_EXTRA_CA_CERTS" "$root/root/ca.pem"
  mount -t proc proc "$root/proc"
  mkdir -p "$root/dev/shm"
  mount -t tmpfs shm "$root/dev/shm"
}
