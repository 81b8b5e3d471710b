#!/usr/bin/env bash
# Looks for rows that must not exist, over all studios, as the read-only role kilnshare_audit. Prints them and exits 1 if there are any.
# deploy/check-invariants.sh [--data DIR]      the private cluster of that folder, while the service runs
# KILNSHARE_AUDIT=<connection string or URI>   another server; its password by PGPASSWORD or ~/.pgpass
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
need_programs psql:postgresql-client
data=$(default_data_folder "$checkout")
[ "${1:-}" = --data ] && data=$2
target=${KILNSHARE_AUDIT:-"host=$data/run user=kilnshare_audit dbname=kilnshare"}
# psql gets this on its command line, which everybody on the machine can read.
if grep -qE '(^|[[:space:]?&])password[[:space:]]*=|^postgres(ql)?://[^/@]*:[^/@]*@' <<<"$target"; then
  echo 'KILNSHARE_AUDIT holds a password, which others could read while this runs. Leave it out there, and set PGPASSWORD or write ~/.pgpass.' >&2
  exit 2
fi
ask() { psql "$target" -X -q -v ON_ERROR_STOP=1 -At -F ' | ' "$@"; }
studios=$(ask -c 'select count(*) from studio')
[ "$studios" -gt 0 ] || { echo 'No studio is to be seen: nothing was checked. Is this the right database, and the role one that bypasses row security?' >&2; exit 1; }
offences=$(for file in "$checkout"/src/KilnShare.Storage/Sql/invariants*.sql; do ask -f "$file"; done)
if [ -n "$offences" ]; then
  printf '%s\n' "$offences"
  exit 1
fi
echo "No offence in $studios studio(s)."
