#!/usr/bin/env bash
# Builds and runs KilnShare on this machine, with a private PostgreSQL of its own and a demo studio.
# deploy/run-local.sh [--data DIR] [--port N] [--fresh]
#   --data DIR   where everything is kept (default: see README.md)
#   --port N     port on 127.0.0.1 (default 8080)
#   --fresh      throw the data folder away first
# KILNSHARE_DATABASE=<connection string> uses an existing PostgreSQL instead; its login must be able to create roles.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"

data=$(default_data_folder "$checkout") port=8080 fresh=no
while [ $# -gt 0 ]; do
  case $1 in
    --data) data=$2; shift 2 ;;
    --port) port=$2; shift 2 ;;
    --fresh) fresh=yes; shift ;;
    *) printf 'usage: %s [--data DIR] [--port N] [--fresh]\n' "$0" >&2; exit 2 ;;
  esac
done

need_programs curl:curl jq:jq setsid:util-linux
command -v dotnet >/dev/null 2>&1 || { echo 'The .NET 10 SDK is needed: install it and start again.' >&2; exit 1; }
[ -n "${KILNSHARE_DATABASE:-}" ] || need_postgresql

if curl -sS -m 2 -o /dev/null "http://127.0.0.1:$port/health/live" 2>/dev/null; then
  printf 'Something answers on port %s already. Stop it first, or choose another port with --port.\n' "$port" >&2
  exit 1
fi
if [ "$fresh" = yes ] && [ -d "$data" ]; then
  [ -e "$data/pgdata" ] || [ -e "$data/demo.env" ] || [ -z "$(ls -A "$data")" ] ||
    { printf '%s does not look like a KilnShare data folder; not thrown away.\n' "$data" >&2; exit 1; }
  rm -rf "$data"
fi
private_folder "$data"
data=$(cd "$data" && pwd -P)
if [ "$(id -u)" = 0 ] && [ -z "${KILNSHARE_DATABASE:-}" ] && ! setpriv --reuid=postgres --regid=postgres --init-groups test -x "$data"; then
  printf 'PostgreSQL runs as the user postgres, who cannot enter %s. Choose a folder that user can reach, such as /var/lib/kilnshare/demo, with --data.\n' "$data" >&2
  exit 1
fi

program=$checkout/artifacts/local
if [ ! -e "$program/built" ] || [ -n "$(find "$checkout"/src "$checkout"/deploy/sql "$checkout"/*.props -newer "$program/built" -print -quit)" ]; then
  echo "Building KilnShare (the first time takes a minute or two) …"
  private_log "$data/build.log"
  dotnet publish "$checkout/src/KilnShare.Api" -c Release -o "$program" -v quiet --nologo >"$data/build.log" 2>&1 ||
    { tail -20 "$data/build.log" >&2; exit 1; }
  touch "$program/built"
fi

if [ ! -s "$data/installation-token" ]; then
  (umask 077; head -c 32 /dev/urandom | base64 | tr -d '+/=\n' >"$data/installation-token")
fi
export KILNSHARE_DATA=$data KILNSHARE_INSTALLATION_TOKEN
KILNSHARE_INSTALLATION_TOKEN=$(cat "$data/installation-token")
export KILNSHARE_URL=http://127.0.0.1:$port

# The service has a session of its own, so that Ctrl-C reaches this script first and requests drain.
private_log "$data/service.log"
setsid dotnet "$program/KilnShare.Api.dll" --urls "$KILNSHARE_URL" >"$data/service.log" 2>&1 &
service=$!
stop() {
  trap '' INT TERM
  kill -TERM "$service" 2>/dev/null || true
  wait "$service" 2>/dev/null || true
  echo 'KilnShare has stopped.'
  exit 0
}
trap stop INT TERM

for _ in $(seq 300); do
  curl -fsS "$KILNSHARE_URL/health/ready" >/dev/null 2>&1 && break
  kill -0 "$service" 2>/dev/null || { echo 'The service did not start:' >&2; tail -5 "$data/service.log" >&2; exit 1; }
  sleep 0.2
done

if [ ! -s "$data/demo.env" ]; then
  echo 'Making a demo studio by running the main job in it:'
  if ! "$checkout/deploy/main-job.sh" --write-env "$data/demo.env"; then
    rm -f "$data/demo.env"
    kill -TERM "$service"; wait "$service" || true
    exit 1
  fi
else
  sed -i "s|^KILNSHARE_URL=.*|KILNSHARE_URL=$KILNSHARE_URL|" "$data/demo.env"
fi

cat <<TEXT

KilnShare runs at $KILNSHARE_URL
  reader page   $KILNSHARE_URL/docs
  data folder   $data
  tokens        $data/demo.env (keep them to yourself)
  log           $data/service.log
Stop it with Ctrl-C.
TEXT
wait "$service" || true
echo 'The service ended.' >&2
exit 1
