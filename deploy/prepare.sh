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

# private_folder DIR  makes a folder, and what is missing above it: as root PostgreSQL's user may pass through and nobody may look around; else it is
# for oneself alone.
private_folder() { (umask "$([ "$(id -u)" = 0 ] && echo 066 || echo 077)"; mkdir -p "$1"); }

# private_log FILE  makes an empty log that others cannot read.
private_log() { (umask 027; : >"$1"); chmod 640 "$1"; }

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

# pg_program NAME  the newest of Debian's PostgreSQL programs of that name, else the one on the PATH.
pg_program() {
  local found
  found=$(ls -d /usr/lib/postgresql/*/bin/"$1" 2>/dev/null | sort -V | tail -1)
  printf '%s\n' "${found:-$1}"
}

# as_postgres COMMAND…  runs a command as the user postgres when this is root, whom PostgreSQL refuses.
as_postgres() {
  if [ "$(id -u)" = 0 ]; then (cd / && setpriv --reuid=postgres --regid=postgres --init-groups "$@"); else "$@"; fi
}
exec_as_postgres() {
  if [ "$(id -u)" = 0 ]; then cd / && exec setpriv --reuid=postgres --regid=postgres --init-groups "$@"; else exec "$@"; fi
}
own_by_postgres() { [ "$(id -u)" != 0 ] || chown -R postgres: "$1"; }

# find_server  takes the socket of the private cluster in KILNSHARE_DATA, where that is set.
find_server() {
  [ -n "${KILNSHARE_DATA:-}" ] || return 0
  local folder
  folder=$(sed -n 5p "$KILNSHARE_DATA/pgdata/postmaster.pid" 2>/dev/null) || true
  [ -n "$folder" ] || { printf 'The service with the data folder %s does not run: start it first.\n' "$KILNSHARE_DATA" >&2; exit 1; }
  export PGHOST=$folder PGUSER=postgres PGDATABASE=postgres
}
