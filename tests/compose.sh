#!/usr/bin/env bash
# Builds the image of the Dockerfile, starts deploy/compose.yaml and runs the main job against it. Takes a container engine (as root it starts
# one). Where no registry answers, every base image is made of Debian packages and the .NET SDK of this machine.
# KILNSHARE_SDK_IMAGE, KILNSHARE_RUNTIME_IMAGE and KILNSHARE_TEST_IMAGE name other base images.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
# shellcheck source=tests/container/engine.sh
. "$checkout/tests/container/engine.sh"
need_programs curl:curl jq:jq
engine_start || { echo "No container engine: $engine_trouble" >&2; exit 1; }
work=$(mktemp -d /tmp/kilnshare-compose.XXXXXX)
trap 'rm -rf "$work"; engine_stop' EXIT
postgres_image || { echo "No PostgreSQL image: $engine_trouble" >&2; exit 1; }
export KILNSHARE_POSTGRES_IMAGE=$KILNSHARE_TEST_IMAGE

if docker compose version >/dev/null 2>&1; then compose=(docker compose); else need_programs docker-compose:docker-compose; compose=(docker-compose); fi

# build ARGUMENT…  builds an image; its words are shown only when it fails.
build() { docker build "$@" >"$work/build.log" 2>&1 || { grep -v '^DEPRECATED' "$work/build.log" | tail -15 >&2; return 1; }; }

# dotnet_image NAME PART…  an image with these parts of this machine's .NET, unless the engine has it already.
dotnet_image() {
  local name=$1 root
  shift
  docker image inspect "$name" >/dev/null 2>&1 && return
  debian_image kilnshare-test-debian - ca-certificates openssl libstdc++6 || { echo "$engine_trouble" >&2; return 1; }
  root=$(dirname "$(readlink -f "$(command -v dotnet)")")
  mkdir -p "$work/home/.nuget/NuGet" "$work/certs"
  # The build asks the same feeds, and trusts the same authorities, as this machine does.
  [ ! -e "$HOME/.nuget/NuGet/NuGet.Config" ] || cp "$HOME/.nuget/NuGet/NuGet.Config" "$work/home/.nuget/NuGet/"
  [ ! -e /etc/ssl/certs/ca-certificates.crt ] || cp -L /etc/ssl/certs/ca-certificates.crt "$work/certs/"
  printf '%s\n' 'FROM kilnshare-test-debian' 'COPY dotnet /usr/share/dotnet' 'COPY home /root' 'COPY certs /etc/ssl/certs' \
    'ENV PATH=/usr/share/dotnet:$PATH DOTNET_CLI_TELEMETRY_OPTOUT=1 DOTNET_NOLOGO=1 DOTNET_SYSTEM_GLOBALIZATION_INVARIANT=1 NUGET_CERT_REVOCATION_MODE=offline' >"$work/Dockerfile"
  (cd "$root" && tar -c --transform='s,^,dotnet/,' dotnet "$@") >"$work/context.tar"
  tar -rf "$work/context.tar" -C "$work" Dockerfile home certs
  build -t "$name" - <"$work/context.tar"
  rm -f "$work/context.tar"
}

# base_images  the official images where a registry answers, else ours.
base_images() {
  [ -z "${KILNSHARE_SDK_IMAGE:-}" ] || return 0
  export KILNSHARE_SDK_IMAGE=mcr.microsoft.com/dotnet/sdk:10.0 KILNSHARE_RUNTIME_IMAGE=mcr.microsoft.com/dotnet/aspnet:10.0
  timeout 300 docker pull -q "$KILNSHARE_SDK_IMAGE" >/dev/null 2>&1 && timeout 300 docker pull -q "$KILNSHARE_RUNTIME_IMAGE" >/dev/null 2>&1 && return
  KILNSHARE_SDK_IMAGE=kilnshare-test-sdk KILNSHARE_RUNTIME_IMAGE=kilnshare-test-runtime
  local root runtimes
  root=$(dirname "$(readlink -f "$(command -v dotnet)")")
  mapfile -t runtimes < <(cd "$root" && ls -d host shared/Microsoft.NETCore.App/10.* shared/Microsoft.AspNetCore.App/10.*)
  dotnet_image kilnshare-test-runtime "${runtimes[@]}"
  # shellcheck disable=SC2046 # names without spaces
  dotnet_image kilnshare-test-sdk host shared $(cd "$root" && ls -d sdk/10.* packs sdk-manifests templates library-packs 2>/dev/null)
}

seconds() { awk -v a="$1" -v b="$(date +%s.%N)" 'BEGIN { printf "%.0f s", b - a }'; }
began=$(date +%s.%N)
base_images
echo "base images: $KILNSHARE_SDK_IMAGE, $KILNSHARE_RUNTIME_IMAGE, $KILNSHARE_POSTGRES_IMAGE ($(seconds "$began"))"
began=$(date +%s.%N)
build --network host -t kilnshare:compose-test --build-arg "SDK_IMAGE=$KILNSHARE_SDK_IMAGE" --build-arg "RUNTIME_IMAGE=$KILNSHARE_RUNTIME_IMAGE" "$checkout"
size=$(docker history --format '{{.Size}} {{.CreatedBy}}' kilnshare:compose-test | awk '/COPY/ && !seen { print $1; seen = 1 }')
echo "image built ($(seconds "$began")); the service's own layer is $size"

export KILNSHARE_VERSION=compose-test KILNSHARE_INSTALLATION_TOKEN POSTGRES_PASSWORD KILNSHARE_PORT=$((20000 + $$ % 20000))
KILNSHARE_INSTALLATION_TOKEN=$(head -c 32 /dev/urandom | base64 | tr -d '+/=\n')
POSTGRES_PASSWORD=$(head -c 32 /dev/urandom | base64 | tr -d '+/=\n')
export KILNSHARE_URL=http://127.0.0.1:$KILNSHARE_PORT
run() { "${compose[@]}" -p "kilnshare-test-$$" -f "$checkout/deploy/compose.yaml" "$@"; }
trap 'run down -v --timeout 20 >/dev/null 2>&1; rm -rf "$work"; engine_stop' EXIT
began=$(date +%s.%N)
run up -d 2>"$work/up.log" || { tail -5 "$work/up.log" >&2; exit 1; }
container=$(run ps -q service)
for _ in $(seq 240); do
  state=$(docker inspect --format '{{.State.Health.Status}}' "$container")
  [ "$state" != healthy ] || break
  sleep 0.5
done
[ "$state" = healthy ] || { docker logs "$container" 2>&1 | tail -5 >&2; echo "The service is $state." >&2; exit 1; }
echo "up and healthy ($(seconds "$began"))"
"$checkout/deploy/main-job.sh" >"$work/job.log" || { tail -5 "$work/job.log" >&2; exit 1; }

docker logs "$container" >"$work/service.log" 2>&1
! grep -v '^{.*}$' "$work/service.log" >&2 || { echo 'The log has lines that are no JSON event.' >&2; exit 1; }
jq -c . "$work/service.log" >"$work/lines"
! grep -qFf <(printf '%s\n' "$KILNSHARE_INSTALLATION_TOKEN" "$POSTGRES_PASSWORD" ks_) "$work/service.log" || { echo 'A secret is in the log.' >&2; exit 1; }
! docker inspect "$container" | grep -qFf <(printf '%s\n' "$POSTGRES_PASSWORD") || { echo 'The service has been given the password that sets the database up.' >&2; exit 1; }
[ "$(docker exec "$container" id -u)" != 0 ] || { echo 'The service runs as root.' >&2; exit 1; }
run restart --timeout 20 service >/dev/null 2>&1
for _ in $(seq 120); do curl -fsS "$KILNSHARE_URL/health/ready" >/dev/null 2>&1 && break; sleep 0.5; done
curl -fsS "$KILNSHARE_URL/health/ready" >/dev/null
echo "The main job ran against the composed service; $(wc -l <"$work/lines") log lines, each one JSON event; it came up again after a restart."
