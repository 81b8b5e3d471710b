#!/usr/bin/env bash
# Restores a backup of deploy/backup.sh into a new data folder, up to a moment.
#   deploy/restore.sh BACKUP-DIR DATA-DIR [MOMENT]
#     MOMENT   such as '2026-03-14 09:30:00+01'; everything committed before it is back. Left out: everything the log holds.
# DATA-DIR must not hold a cluster yet. Stop the service first; then start it with --data DATA-DIR (or KILNSHARE_DATA). For a PostgreSQL of
# yours, hand DATA-DIR/pgdata to it. Afterwards: revoke again whatever tokens were revoked after MOMENT, and look at the last bookings.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
[ $# = 2 ] || [ $# = 3 ] || { sed -n '2,7s/^# \{0,1\}//p' "$0" >&2; exit 2; }
backup=$(cd "$1" && pwd -P) data=$2 moment=${3:-}
need_postgresql
[ ! -e "$data/pgdata/PG_VERSION" ] || { printf '%s holds a cluster already: name a new folder.\n' "$data" >&2; exit 1; }

# The newest base backup that was complete before the moment.
base=
for candidate in "$backup"/base-*; do
  [ -d "$candidate" ] || continue
  taken=$(sed -E 's/.*base-([0-9]{4})([0-9]{2})([0-9]{2})T([0-9]{2})([0-9]{2})([0-9]{2})Z$/\1-\2-\3 \4:\5:\6Z/' <<<"$candidate")
  [ -z "$moment" ] || [ "$(date -d "$taken" +%s)" -le "$(date -d "$moment" +%s)" ] || continue
  base=$candidate
done
[ -n "$base" ] || { printf 'There is no base backup in %s from before %s.\n' "$backup" "${moment:-now}" >&2; exit 1; }

mkdir -p "$data"
data=$(cd "$data" && pwd -P)
cp -a "$base" "$data/pgdata"
rm -f "$data/pgdata/postmaster.pid"
# The last file of the log is still being written: it is as good as a whole one, up to where it ends.
wal=$(mktemp -d /tmp/kilnshare-wal.XXXXXX)
chmod 700 "$wal"
socket=$(mktemp -d /tmp/kilnshare-run.XXXXXX)
trap 'rm -rf "$wal" "$socket"' EXIT
find "$backup/wal" -type f -exec cp -a {} "$wal/" \;
for part in "$wal"/*.partial; do [ -e "$part" ] && mv "$part" "${part%.partial}"; done
settings=$data/pgdata/postgresql.auto.conf
cp -p "$settings" "$wal/settings"
{
  printf "restore_command = 'cp \"%s/%%f\" \"%%p\"'\n" "$wal"
  [ -z "$moment" ] || printf "recovery_target_time = '%s'\nrecovery_target_action = 'promote'\n" "$moment"
} >>"$settings"
touch "$data/pgdata/recovery.signal"
own_by_postgres "$data/pgdata"
own_by_postgres "$wal"
own_by_postgres "$socket"
restore_failed() {
  grep -E 'FATAL|ERROR|PANIC' "$wal/restore.log" | tail -3 >&2
  ! grep -q 'before configured recovery target' "$wal/restore.log" || echo 'The log ends before that moment: restore without a moment to have all there is.' >&2
  exit 1
}
started=$(date +%s.%N)
if ! as_postgres "$(pg_program pg_ctl)" -D "$data/pgdata" -w -t 3600 -l "$wal/restore.log" -o "-k $socket -c listen_addresses=''" start >/dev/null; then
  restore_failed
fi
# Ready to be read is not yet restored: the log is replayed to its end, or to the moment, before the cluster takes writes.
until as_postgres "$(pg_program pg_controldata)" -D "$data/pgdata" | grep -q 'state: *in production'; do
  [ -e "$data/pgdata/postmaster.pid" ] || restore_failed
  sleep 0.1
done
grep -E 'last completed transaction|recovery stopping' "$wal/restore.log" | tail -1 | sed 's/^.*LOG: *//' || true
as_postgres "$(pg_program pg_ctl)" -D "$data/pgdata" -w -m fast stop >/dev/null
# The cluster runs without the archive from here on.
cp -p "$wal/settings" "$settings"
printf 'restored from %s into %s in %.1f s\n' "$(basename "$base")" "$data" "$(awk -v a="$started" -v b="$(date +%s.%N)" 'BEGIN { print b - a }')"
