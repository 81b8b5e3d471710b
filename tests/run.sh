#!/usr/bin/env bash
# Runs every test and prints "N passed, N failed" last. Installs what is missing (as root, with apt).
set -uo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
command -v dotnet >/dev/null 2>&1 || { echo 'The .NET 10 SDK is needed: install it and start again.' >&2; exit 1; }
need_programs curl:curl jq:jq setsid:util-linux
[ -n "${KILNSHARE_TEST_POSTGRES:-}" ] || need_postgresql
export DOTNET_CLI_TELEMETRY_OPTOUT=1 DOTNET_NOLOGO=1

# The database server of the tests is a user of its own when this is root: its folder lies where that user may go.
folder=$(mktemp -d /tmp/kilnshare-tests.XXXXXX)
chmod 755 "$folder"
trap 'rm -rf "$folder"' EXIT
export KILNSHARE_TEST_FOLDER=$folder

out=$folder/out
echo "database: $([ -n "${KILNSHARE_TEST_POSTGRES:-}" ] && echo 'the server named by KILNSHARE_TEST_POSTGRES' || echo 'a private cluster')"
dotnet build "$checkout/KilnShare.sln" -v quiet --nologo || { echo 'The build failed.'; echo '0 passed, 1 failed'; exit 1; }
dotnet test "$checkout/KilnShare.sln" --no-build --nologo -v quiet -- RunConfiguration.TestSessionTimeout=900000 2>&1 | tee "$out"
code=${PIPESTATUS[0]}
read -r passed failed < <(awk '/^(Passed|Failed)! +-/ { gsub(/,/, ""); for (i = 1; i < NF; i++) { if ($i == "Failed:") f += $(i + 1); if ($i == "Passed:") p += $(i + 1) } } END { print p + 0, f + 0 }' "$out")
# A test host that died prints no line of its own: the exit code is believed first.
[ "$code" -ne 0 ] && [ "$failed" -eq 0 ] && failed=1
echo "database: $([ -n "${KILNSHARE_TEST_POSTGRES:-}" ] && echo 'the server named by KILNSHARE_TEST_POSTGRES' || echo 'a private cluster')"
printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ]
