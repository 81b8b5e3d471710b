#!/usr/bin/env bash
# Long proofs, each bounded in count: random load plans, as many with half shelves, held against the checks, ten million splits, twenty restarts under load;
# the intervals of evidence, searches gone on with from a plan, races 200 times, one caller beside others, and calculations at the corners of what they take.
# Prints one table a proof and ends with what failed. About a quarter of an hour on two cores.
set -uo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
command -v dotnet >/dev/null 2>&1 || { echo 'The .NET 10 SDK is needed: install it and start again.' >&2; exit 1; }
need_programs curl:curl jq:jq setsid:util-linux
need_postgresql
failed=()
prove() {
  local name=$1
  shift
  dotnet run -c Release --project "$checkout/tests/KilnShare.Benchmarks" -- "$@" | tee "$output" || failed+=("$name")
}
output=$(mktemp)
trap 'rm -f "$output"' EXIT
prove 'random load plans' loading only=random,random-halves every=1
[ "$(grep -c ': 0 with a violation, 0 crashed' "$output")" = 2 ] || failed+=('random load plans')
prove 'splits' costs
prove 'restarts' restarts
# Races tried 200 times where the other command tries 20, and what is measured in a process of its own.
export KILNSHARE_SOAK=1
races=$(grep -rl 'Races\.Tries' "$checkout/tests/KilnShare.Api.Tests" --include='*Tests.cs' | sed 's|.*/\(.*\)\.cs|FullyQualifiedName~\1|' | paste -sd '|')
dotnet test "$checkout/tests/KilnShare.Core.Tests" --nologo -v quiet --filter 'FullyQualifiedName~RateIntervalTests|FullyQualifiedName~ReplanTests' || failed+=('intervals of evidence, searches gone on with')
for filter in "$races" FullyQualifiedName~GreedyTokenTests FullyQualifiedName~CornerTests; do
  dotnet test "$checkout/tests/KilnShare.Api.Tests" --nologo -v quiet --filter "$filter" || failed+=("$filter")
done
[ ${#failed[@]} -eq 0 ] && echo 'Every proof held.' || { printf 'failed: %s\n' "${failed[@]}"; exit 1; }
