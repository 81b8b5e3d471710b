#!/usr/bin/env bash
# Backs a PostgreSQL up so that it can be restored to any moment since: a base backup, and the write-ahead log as it is written.
#   deploy/backup.sh base DIR      takes a base backup into DIR/base-TIME and checks it against its manifest
#   deploy/backup.sh archive DIR   keeps receiving the log into DIR/wal until stopped; run it beside the service, always
#   deploy/backup.sh show DIR      lists what there is, the age of the newest first
# Which server: PGHOST, PGPORT, PGUSER and PGPASSWORD as for any PostgreSQL program, its login with the right of replication; or
# KILNSHARE_DATA, the data folder of a service with a private cluster (run it as root or as the service's user).
# Losing the machine loses what archive had not yet received: less than a second of work while it runs. Copy DIR to another machine.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
[ $# = 2 ] || { sed -n '2,9s/^# \{0,1\}//p' "$0" >&2; exit 2; }
what=$1 target=$2
need_postgresql
find_server

mkdir -p "$target/wal"
target=$(cd "$target" && pwd -P)
chmod 700 "$target" "$target/wal"
case $what in
  base)
    own_by_postgres "$target"
    part=$target/part-$$
    as_postgres "$(pg_program pg_basebackup)" -D "$part" --wal-method=stream --checkpoint=fast --no-password
    as_postgres "$(pg_program pg_verifybackup)" -q "$part"
    # Named by its end: only moments after it can be restored from it.
    base=$target/base-$(date -u +%Y%m%dT%H%M%SZ)
    mv "$part" "$base"
    printf 'backed up: %s (%s)\n' "$base" "$(du -sh "$base" | cut -f1)"
    ;;
  archive)
    own_by_postgres "$target"
    # A slot makes the server keep what was not received yet, over restarts of either side.
    as_postgres "$(pg_program pg_receivewal)" --slot=kilnshare_backup --create-slot --if-not-exists --no-password
    exec_as_postgres "$(pg_program pg_receivewal)" -D "$target/wal" --slot=kilnshare_backup --synchronous --no-password
    ;;
  show)
    find "$target" -maxdepth 1 -name 'base-*' -printf '%f\n' | sort -r
    printf 'log: %s files, the last written %s\n' "$(find "$target/wal" -type f | wc -l)" "$(find "$target/wal" -type f -printf '%TY-%Tm-%Td %TH:%TM\n' | sort | tail -1)"
    ;;
  *) echo "base, archive or show, not $what" >&2; exit 2 ;;
esac
