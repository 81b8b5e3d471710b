# Sourced by the other scripts: where data lives by default, and Debian packages that are missing.

# The default data folder of this checkout. As root it lies outside the checkout, since PostgreSQL runs as another
# user who may not enter a checkout of mode 0700.
default_data_folder() {
  local checkout=$1
  if [ "$(id -u)" = 0 ]; then
    printf '/var/lib/kilnshare/%s\n' "$(printf '%s' "$checkout" | sha256sum | cut -c1-12)"
  else
    printf '%s/.data\n' "$checkout"
  fi
}

# need_programs PROGRAM:PACKAGE…  installs the packages of programs that are missing, as root, with apt.
need_programs() {
  local missing=() pair
  for pair in "$@"; do command -v "${pair%%:*}" >/dev/null 2>&1 || missing+=("${pair##*:}"); done
  [ ${#missing[@]} -eq 0 ] || install_packages "${missing[@]}"
}

# need_postgresql  installs the PostgreSQL server programs if they are missing, and leaves no server running.
need_postgresql() {
  ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 && return
  command -v initdb >/dev/null 2>&1 && return
  if [ "$(id -u)" = 0 ]; then
    mkdir -p /etc/postgresql-common
    grep -qs '^create_main_cluster' /etc/postgresql-common/createcluster.conf ||
      printf 'create_main_cluster = false\n' >>/etc/postgresql-common/createcluster.conf
  fi
  install_packages postgresql
}

install_packages() {
  if [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null 2>&1; then
    printf 'Missing on this machine: %s. Install it (on Debian, as root: apt-get install %s) and start again.\n' "$*" "$*" >&2
    exit 1
  fi
  printf 'Installing with apt: %s\n' "$*" >&2
  apt-get update -qq >&2
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >/dev/null
}
