#!/bin/sh
# Entrypoint of the test image made from Debian packages: makes a cluster as the official PostgreSQL image would,
# from POSTGRES_USER, POSTGRES_PASSWORD and POSTGRES_DB, and runs it in the foreground with the arguments given.
set -eu
programs=$(ls -d /usr/lib/postgresql/*/bin | sort -V | tail -1)
PGDATA=${PGDATA:-/var/lib/postgresql/data}
user=${POSTGRES_USER:-postgres}
as() { setpriv --reuid=postgres --regid=postgres --init-groups "$@"; }

mkdir -p "$PGDATA" /var/run/postgresql
chown -R postgres: "$PGDATA" /var/run/postgresql
chmod 700 "$PGDATA"
if [ ! -s "$PGDATA/PG_VERSION" ]; then
  secret=$(mktemp)
  printf '%s\n' "${POSTGRES_PASSWORD:?}" >"$secret"
  chown postgres: "$secret"
  as "$programs/initdb" -D "$PGDATA" -U "$user" --pwfile="$secret" --auth-local=trust --auth-host=scram-sha-256 -E UTF8 --no-locale --no-instructions >/dev/null
  rm -f "$secret"
  echo 'host all all all scram-sha-256' >>"$PGDATA/pg_hba.conf"
  database=${POSTGRES_DB:-$user}
  if [ "$database" != postgres ]; then
    echo "create database \"$database\";" | as "$programs/postgres" --single -D "$PGDATA" postgres >/dev/null
  fi
fi
[ "${1:-}" = postgres ] && shift
exec setpriv --reuid=postgres --regid=postgres --init-groups "$programs/postgres" -D "$PGDATA" -c 'listen_addresses=*' "$@"
