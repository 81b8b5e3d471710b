#!/usr/bin/env bash
# Runs every test and prints "N passed, N failed" last, and before it why what failed did. Installs what is missing (as root, with apt).
# KILNSHARE_TEST_ENGINE says what PostgreSQL the tests stand on:
#   container   a real one in a container; prepares the engine and the image as root, and fails where that cannot be done
#   cluster     a private cluster of Debian's programs
#   any         (default) a container where an engine answers or can be had, else the private cluster
# KILNSHARE_TEST_IMAGE names the image of the container (default: the official PostgreSQL image where a registry answers, else one made of
# Debian packages); KILNSHARE_TEST_POSTGRES names a server of yours instead of all that.
set -uo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
# shellcheck source=tests/container/engine.sh
. "$checkout/tests/container/engine.sh"
command -v dotnet >/dev/null 2>&1 || { echo 'The .NET 10 SDK is needed: install it and start again.' >&2; exit 1; }
need_programs curl:curl jq:jq setsid:util-linux pdftotext:poppler-utils
export DOTNET_CLI_TELEMETRY_OPTOUT=1 DOTNET_NOLOGO=1

# need_pgbouncer  installs the pooler that some tests put before the database, and leaves no server running.
need_pgbouncer() {
  [ -x /usr/sbin/pgbouncer ] || [ -x /usr/bin/pgbouncer ] && return
  local rule=/usr/sbin/policy-rc.d made=no
  if [ "$(id -u)" = 0 ] && [ ! -e "$rule" ]; then
    printf '#!/bin/sh\nexit 101\n' >"$rule"
    chmod 755 "$rule"
    made=yes
  fi
  install_packages pgbouncer
  [ "$made" = no ] || rm -f "$rule"
}

# choose_database  sets $database to what the tests stand on and why, and prepares it.
choose_database() {
  local wanted=${KILNSHARE_TEST_ENGINE:-any} why
  why="KILNSHARE_TEST_ENGINE=$wanted"
  [ -n "${KILNSHARE_TEST_ENGINE:-}" ] || why='KILNSHARE_TEST_ENGINE is not set, so any'
  if [ -n "${KILNSHARE_TEST_POSTGRES:-}" ]; then
    export KILNSHARE_TEST_ENGINE=server
    database='the server named by KILNSHARE_TEST_POSTGRES'
    return
  fi
  case $wanted in container | cluster | any) ;; *) echo "KILNSHARE_TEST_ENGINE is container, cluster or any, not $wanted." >&2; exit 2 ;; esac
  if [ "$wanted" != cluster ] && engine_start && postgres_image; then
    export KILNSHARE_TEST_ENGINE=container TESTCONTAINERS_RYUK_DISABLED=true TESTCONTAINERS_HOST_OVERRIDE=127.0.0.1
    database="a container of $KILNSHARE_TEST_IMAGE ($why, and an engine answers$([ "$engine_began" = yes ] && echo ': started here'))"
    return
  fi
  if [ "$wanted" = container ]; then
    engine_stop
    echo "database: none ($why, but $engine_trouble)"
    echo '0 passed, 1 failed'
    exit 1
  fi
  [ "$wanted" = cluster ] || why="$why, but $engine_trouble"
  export KILNSHARE_TEST_ENGINE=cluster
  database="a private cluster ($why)"
}

# The database server of the tests is a user of its own when this is root: its folder lies where that user may go.
folder=$(mktemp -d /tmp/kilnshare-tests.XXXXXX)
chmod 755 "$folder"
trap 'engine_stop; rm -rf "$folder"' EXIT
export KILNSHARE_TEST_FOLDER=$folder

need_pgbouncer
need_postgresql # for the tests of the private cluster, whatever the others stand on
choose_database
out=$folder/out
echo "database: $database"
dotnet build "$checkout/KilnShare.sln" -v quiet --nologo || { echo 'The build failed.'; echo '0 passed, 1 failed'; exit 1; }
dotnet test "$checkout/KilnShare.sln" --no-build --nologo -v quiet --logger 'console;verbosity=minimal' --filter 'FullyQualifiedName!~SizeBombTests&FullyQualifiedName!~GreedyTokenTests&FullyQualifiedName!~CornerTests' -- RunConfiguration.TestSessionTimeout=2400000 2>&1 | tee "$out"
code=${PIPESTATUS[0]}
# What is measured is measured in a process of its own, without the garbage and the threads of all other tests.
for measured in SizeBombTests GreedyTokenTests; do
  dotnet test "$checkout/tests/KilnShare.Api.Tests" --no-build --nologo -v quiet --logger 'console;verbosity=minimal' --filter "FullyQualifiedName~$measured" 2>&1 | tee -a "$out"
  [ "${PIPESTATUS[0]}" -eq 0 ] || code=1
done
read -r passed failed < <(awk '/^(Passed|Failed)! +-/ { gsub(/,/, ""); for (i = 1; i < NF; i++) { if ($i == "Failed:") f += $(i + 1); if ($i == "Passed:") p += $(i + 1) } } END { print p + 0, f + 0 }' "$out")
# The drill is one test more: a backup that was never restored is none.
drill=passed
if [ -z "${KILNSHARE_TEST_POSTGRES:-}" ]; then
  began=$SECONDS
  "$checkout/tests/restore-drill.sh" >"$folder/drill" 2>&1 || { drill=failed; failed=$((failed + 1)); cat "$folder/drill"; }
  [ "$drill" = failed ] || passed=$((passed + 1))
  echo "restore drill: $drill in $((SECONDS - began)) s"
fi
# A test host that died prints no line of its own: the exit code is believed first.
[ "$code" -ne 0 ] && [ "$failed" -eq 0 ] && failed=1
awk -f "$checkout/tests/why.awk" "$out"
[ "$drill" = passed ] || { echo; echo 'Failed: the restore drill'; tail -5 "$folder/drill"; }
echo "database: $database"
printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ]
