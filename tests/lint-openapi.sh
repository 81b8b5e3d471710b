#!/usr/bin/env bash
# Checks the committed OpenAPI document with a public rule set. Needs Node.js and npm; installs into a temporary folder.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
command -v npm >/dev/null 2>&1 || { echo 'Node.js with npm is needed: install it and start again.' >&2; exit 1; }
folder=$(mktemp -d /tmp/kilnshare-lint.XXXXXX)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
npm init --yes >/dev/null
npm install --no-audit --no-fund --silent @stoplight/spectral-cli@6.16.3
echo 'extends: ["spectral:oas"]' > ruleset.yaml
npx spectral lint --ruleset ruleset.yaml --fail-severity error "$checkout/tests/KilnShare.Api.Tests/openapi.json"
