# Sourced by the tests' scripts: a container engine, and images made from Debian packages where no registry answers.
# Needs deploy/prepare.sh. Every function returns 1 with its reason in $engine_trouble instead of ending the script.

engine_trouble=
engine_folder=${KILNSHARE_ENGINE_FOLDER:-/var/lib/kilnshare/containers}
engine_began=no

engine_fails() { engine_trouble=$1; return 1; }

# engine_start  makes sure that an engine answers: the one of this machine, else one of our own, which the last user stops.
engine_start() {
  if command -v docker >/dev/null 2>&1 && timeout 10 docker info >/dev/null 2>&1; then engine_say_version; return; fi
  [ "$(id -u)" = 0 ] || { engine_fails 'no container engine answers, and starting one takes root'; return 1; }
  local program missing=()
  for program in dockerd:docker.io iptables:iptables; do command -v "${program%%:*}" >/dev/null 2>&1 || missing+=("${program##*:}"); done
  if [ ${#missing[@]} -gt 0 ]; then
    (install_packages "${missing[@]}") >&2 || { engine_fails "apt could not install ${missing[*]}"; return 1; }
  fi
  mkdir -p "$engine_folder" || { engine_fails "$engine_folder cannot be made"; return 1; }
  export DOCKER_HOST=unix://$engine_folder/docker.sock
  # Every user holds this lock in common; who gets it alone at the end is the last one.
  exec {engine_users}>>"$engine_folder/users.lock"
  flock -s "$engine_users"
  engine_began=yes
  (
    flock 9
    timeout 10 docker info >/dev/null 2>&1 && exit 0
    rm -f "$engine_folder/dockerd.pid"
    setsid dockerd --data-root "$engine_folder/docker" --exec-root "$engine_folder/exec" --pidfile "$engine_folder/dockerd.pid" \
      -H "$DOCKER_HOST" 9>&- {engine_users}>&- </dev/null >"$engine_folder/dockerd.log" 2>&1 &
    for _ in $(seq 60); do
      timeout 10 docker info >/dev/null 2>&1 && exit 0
      kill -0 $! 2>/dev/null || exit 1
      sleep 0.5
    done
    exit 1
  ) 9>>"$engine_folder/start.lock" || { engine_fails "dockerd did not start: $(tail -1 "$engine_folder/dockerd.log" 2>/dev/null | cut -c1-200)"; return 1; }
  engine_say_version
}

# The clients speak the newest API they know; an older engine is asked in its own.
engine_say_version() {
  export DOCKER_API_VERSION
  DOCKER_API_VERSION=$(env -u DOCKER_API_VERSION docker version --format '{{.Server.APIVersion}}') || { engine_fails 'the engine does not say its version'; return 1; }
}

# engine_stop  stops the engine that was started here, when nobody else uses it.
engine_stop() {
  [ "$engine_began" = yes ] || return 0
  flock -u "$engine_users"
  if flock -n -x "$engine_users" && [ -s "$engine_folder/dockerd.pid" ]; then
    local pid
    pid=$(cat "$engine_folder/dockerd.pid")
    if [ "$(cat "/proc/$pid/comm" 2>/dev/null)" = dockerd ]; then
      kill -TERM "$pid"
      for _ in $(seq 60); do kill -0 "$pid" 2>/dev/null || break; sleep 0.25; done
    fi
  fi
  exec {engine_users}>&-
  engine_began=no
}

# debian_root FOLDER PACKAGE…  a Debian of this machine's own release in a folder, from this machine's own mirror.
debian_root() {
  local root=$1 suite mirror
  shift
  suite=$(. /etc/os-release && printf '%s' "${VERSION_CODENAME:-}")
  mirror=$(apt-get indextargets --format '$(REPO_URI) $(CODENAME) $(COMPONENT)' 'Created-By: Packages' 2>/dev/null | awk -v s="$suite" '$2 == s && $3 == "main" { print $1; exit }')
  [ -n "$suite" ] && [ -n "$mirror" ] || { engine_fails 'the package sources of this machine name no Debian release'; return 1; }
  command -v debootstrap >/dev/null 2>&1 || (install_packages debootstrap) >&2 || { engine_fails 'apt could not install debootstrap'; return 1; }
  debootstrap --variant=minbase "$suite" "$root" "$mirror" >"$root.log" 2>&1 || { engine_fails "debootstrap failed: $(tail -1 "$root.log")"; return 1; }
  # No server starts while packages are set up, here or on the machine.
  printf '#!/bin/sh\nexit 101\n' >"$root/usr/sbin/policy-rc.d"
  chmod 755 "$root/usr/sbin/policy-rc.d"
  mkdir -p "$root/etc/postgresql-common"
  printf 'create_main_cluster = false\n' >"$root/etc/postgresql-common/createcluster.conf"
  [ $# -eq 0 ] || DEBIAN_FRONTEND=noninteractive chroot "$root" sh -c 'apt-get update -qq && apt-get install -y -qq --no-install-recommends "$@"' sh "$@" >>"$root.log" 2>&1 ||
    { engine_fails "apt in the image failed: $(tail -1 "$root.log")"; return 1; }
  rm -rf "$root"/var/cache/apt/* "$root"/var/lib/apt/lists/* "$root"/usr/share/doc/* "$root"/usr/share/man/* "$root"/usr/share/locale/*
}

# debian_image NAME ENTRYPOINT|- PACKAGE…  an image of that name out of packages, unless the engine has it already.
debian_image() {
  local name=$1 entrypoint=$2 root changes=()
  shift 2
  docker image inspect "$name" >/dev/null 2>&1 && return
  printf 'Making the image %s from Debian packages (once, about a minute) …\n' "$name" >&2
  root=$(mktemp -d "${TMPDIR:-/tmp}/kilnshare-image.XXXXXX")
  debian_root "$root" "$@" || { rm -rf "$root" "$root.log"; return 1; }
  if [ "$entrypoint" != - ]; then
    install -m 755 "$entrypoint" "$root/usr/local/bin/entrypoint"
    changes=(--change 'ENTRYPOINT ["/usr/local/bin/entrypoint"]' --change 'CMD ["postgres"]' --change 'EXPOSE 5432')
  fi
  tar -C "$root" -c . | docker import "${changes[@]}" - "$name" >/dev/null || { engine_fails 'the engine did not take the image'; rm -rf "$root" "$root.log"; return 1; }
  rm -rf "$root" "$root.log"
}

# postgres_image  sets KILNSHARE_TEST_IMAGE: what it names already, else the official image where a registry answers, else our own.
postgres_image() {
  local official=docker.io/library/postgres:17 own
  own=kilnshare-test-postgres:$(. /etc/os-release && printf '%s' "${VERSION_CODENAME:-debian}")
  export KILNSHARE_TEST_IMAGE=${KILNSHARE_TEST_IMAGE:-}
  if [ -n "$KILNSHARE_TEST_IMAGE" ]; then
    docker image inspect "$KILNSHARE_TEST_IMAGE" >/dev/null 2>&1 || docker pull -q "$KILNSHARE_TEST_IMAGE" >/dev/null 2>&1 || engine_fails "there is no image $KILNSHARE_TEST_IMAGE"
    return
  fi
  for KILNSHARE_TEST_IMAGE in "$official" "$own"; do docker image inspect "$KILNSHARE_TEST_IMAGE" >/dev/null 2>&1 && return; done
  KILNSHARE_TEST_IMAGE=$official
  timeout 120 docker pull -q "$official" >/dev/null 2>&1 && return
  KILNSHARE_TEST_IMAGE=$own
  debian_image "$own" "$checkout/tests/container/postgres-entrypoint.sh" postgresql
}
