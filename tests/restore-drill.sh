#!/usr/bin/env bash
# A drill: a service at work is backed up, loses bookings by a mistake, and is restored to the moment before it.
# Takes a built service (tests/run.sh builds it). Prints what it measured; exits 0 only if everything came back.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
need_programs curl:curl jq:jq setsid:util-linux
need_postgresql
program=${KILNSHARE_PROGRAM:-$checkout/artifacts/bin/KilnShare.Api/debug/KilnShare.Api.dll}
[ -e "$program" ] || dotnet build "$checkout/src/KilnShare.Api" -v quiet --nologo

work=$(mktemp -d /tmp/kilnshare-drill.XXXXXX)
chmod 755 "$work"
mkdir -p "$work/data" "$work/backup"
service='' archive=''
cleanup() {
  [ -z "$service" ] || { kill -TERM "$service" 2>/dev/null; wait "$service" 2>/dev/null; } || true
  [ -z "$archive" ] || { kill -INT "$archive" 2>/dev/null; wait "$archive" 2>/dev/null; } || true
  rm -rf "$work"
}
trap cleanup EXIT
export KILNSHARE_INSTALLATION_TOKEN=drill-drill-drill-drill-drill
port=$((20000 + $$ % 20000))
export KILNSHARE_URL=http://127.0.0.1:$port

# serve DATA  starts the service on a data folder and waits until it serves.
serve() {
  KILNSHARE_DATA=$1 setsid dotnet "$program" --urls "$KILNSHARE_URL" >"$work/service.log" 2>&1 &
  service=$!
  for _ in $(seq 300); do
    curl -fsS "$KILNSHARE_URL/health/ready" >/dev/null 2>&1 && return
    kill -0 "$service" 2>/dev/null || break
    sleep 0.1
  done
  tail -5 "$work/service.log" >&2
  exit 1
}
stop() { kill -TERM "$service"; wait "$service" || true; service=''; }
sql() { KILNSHARE_DATA=$1 bash -c '. "$0/deploy/prepare.sh"; find_server; PGDATABASE=kilnshare as_postgres "$(pg_program psql)" -XAtq -v ON_ERROR_STOP=1 -c "$1"' "$checkout" "$2"; }
seconds() { awk -v a="$1" -v b="$(date +%s.%N)" 'BEGIN { printf "%.1f s", b - a }'; }
rows="select (select count(*) from firing) || ' firings, ' || (select count(*) from booking) || ' bookings, ' || (select count(*) from booked_copy) || ' copies, ' || (select count(*) from audit) || ' notes'"

serve "$work/data"
"$checkout/deploy/main-job.sh" --write-env "$work/demo.env" >"$work/job.log" || { tail -3 "$work/job.log" >&2; exit 1; }
KILNSHARE_DATA=$work/data "$checkout/deploy/backup.sh" archive "$work/backup" >"$work/archive.log" 2>&1 &
archive=$!
began=$(date +%s.%N)
KILNSHARE_DATA=$work/data "$checkout/deploy/backup.sh" base "$work/backup"
echo "base backup: $(seconds "$began")"

# Work that only the log holds, then the mistake.
"$checkout/deploy/main-job.sh" >"$work/job.log" || { tail -3 "$work/job.log" >&2; exit 1; }
before=$(sql "$work/data" "$rows")
sleep 1.1
moment=$(sql "$work/data" 'select now()')
sleep 1.1
sql "$work/data" 'drop table booked_copy cascade'
# The server itself is killed, not asked: what counts is what the archive has.
sleep 1
kill -KILL "$service"; wait "$service" 2>/dev/null || true; service=''
for _ in $(seq 100); do [ -e "$work/data/pgdata/postmaster.pid" ] || break; sleep 0.1; done
kill -INT "$archive" 2>/dev/null || true; wait "$archive" 2>/dev/null || true; archive=''

began=$(date +%s.%N)
"$checkout/deploy/restore.sh" "$work/backup" "$work/restored" "$moment"
serve "$work/restored"
echo "restored and serving: $(seconds "$began")"
after=$(sql "$work/restored" "$rows")
echo "before the mistake: $before"
echo "after the restore:  $after"
[ "$before" = "$after" ] || { echo 'The restore is not whole.' >&2; exit 1; }
made=$(curl -sS -o "$work/made" -w '%{http_code}' -H @<(printf 'Authorization: Bearer %s' "$KILNSHARE_INSTALLATION_TOKEN") -H 'Content-Type: application/json' -H 'Idempotency-Key: after-the-drill' \
  -d '{"name":"After the drill","timeZone":"Europe/Berlin","currency":"EUR","perKwh":"0.3","ownerName":"Alma"}' "$KILNSHARE_URL/v1/studios")
[ "$made" = 201 ] || { cat "$work/made" >&2; exit 1; }
stop
echo 'The drill is passed: everything came back, and the service works on.'
