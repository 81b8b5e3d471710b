#!/usr/bin/env bash
# Runs the main job over HTTP against a running service, in a studio made from nothing, and prints what came out.
# deploy/main-job.sh [--write-env FILE]
# Takes KILNSHARE_URL and KILNSHARE_INSTALLATION_TOKEN from the environment, else from demo.env of the default data folder.
# Exits 0 only if every step answered as it must and no list is empty where figures are due. All names are invented.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
# shellcheck source=deploy/prepare.sh
. "$checkout/deploy/prepare.sh"
need_programs curl:curl jq:jq

env_file=
[ "${1:-}" = --write-env ] && env_file=$2
if [ -z "${KILNSHARE_URL:-}" ] || [ -z "${KILNSHARE_INSTALLATION_TOKEN:-}" ]; then
  demo=$(default_data_folder "$checkout")/demo.env
  [ -r "$demo" ] || { echo "Start deploy/run-local.sh first, or set KILNSHARE_URL and KILNSHARE_INSTALLATION_TOKEN." >&2; exit 1; }
  set -a; . "$demo"; set +a
fi

answer=$(mktemp)
trap 'rm -f "$answer"' EXIT
# call TOKEN METHOD PATH STATUS [BODY]  sends a request, fails on another status, and prints the answer.
call() {
  local token=$1 method=$2 path=$3 wanted=$4 body=${5:-} status
  local args=(-sS -o "$answer" -w '%{http_code}' -X "$method")
  [ "$method" = POST ] && args+=(-H "Idempotency-Key: $(cat /proc/sys/kernel/random/uuid)")
  [ -n "$body" ] && args+=(-H 'Content-Type: application/json' --data-binary "$body")
  # The token is read from a pipe: a command line can be read by everybody on the machine.
  status=$(curl -H @<(printf 'Authorization: Bearer %s' "$token") "${args[@]}" "$KILNSHARE_URL$path")
  if [ "$status" != "$wanted" ]; then
    printf '%s %s answered %s, not %s:\n' "$method" "$path" "$status" "$wanted" >&2
    jq . "$answer" >&2 || cat "$answer" >&2
    exit 1
  fi
  cat "$answer"
}
say() { printf '\n== %s\n' "$*"; }
field() { jq -er "$1"; }
# tell [OPTION…] FILTER  prints what a filter makes of an answer. In it, "due" passes a list on and fails on an empty one, and "money" writes minor units.
tell() {
  local filter=${*: -1}
  jq -r "${@:1:$#-1}" 'def due: if type == "array" and length > 0 then . else error("an empty list where figures are due") end;
    def money: "\(. / 100 | floor).\(. % 100 + 100 | tostring | .[1:])"; '"$filter"
}

say 'A studio'
made=$(call "$KILNSHARE_INSTALLATION_TOKEN" POST /v1/studios 201 '{"name":"Lindenhof shared kilns","timeZone":"Europe/Berlin","currency":"EUR","perKwh":"0.312","ownerName":"Alma"}')
studio=$(field .studio.id <<<"$made") owner=$(field .token <<<"$made")
s=/v1/studios/$studio
# member NAME ROLE  takes a member in and prints "id token".
member() {
  local id
  id=$(call "$owner" POST "$s/members" 201 "{\"name\":\"$1\",\"role\":\"$2\"}" | field .id)
  printf '%s %s\n' "$id" "$(call "$owner" POST "$s/members/$id/tokens" 201 '{"label":"demo"}' | field .token)"
}
read -r _ technician <<<"$(member Tilo technician)"
read -r mira mira_token <<<"$(member Mira potter)"
read -r jonas jonas_token <<<"$(member Jonas potter)"
read -r rosa rosa_token <<<"$(member Rosa potter)"
read -r _ viewer <<<"$(member Vera viewer)"
echo "Lindenhof shared kilns: Alma owns it, Tilo fires, Mira, Jonas and Rosa make pots, Vera looks on."

say 'A kiln with shelves and posts'
kiln=$(call "$technician" POST "$s/kilns" 201 '{
  "name":"Round top-loader","ratedKw":11.5,"ratedCone":"10","wearMinor":450,
  "chamber":{"footprint":{"kind":"circle","diameterMm":585},"heightMm":685,"wallClearanceMm":25,"lidClearanceMm":12},
  "furniture":{"postHeights":"stock","postDiameterMm":38,"postInsetMm":25,
    "shelves":[{"id":"full","footprint":{"kind":"circle","diameterMm":533},"thicknessMm":19,"count":4},
               {"id":"half","footprint":{"kind":"halfCircle","diameterMm":533},"thicknessMm":19,"count":4}],
    "posts":[{"heightMm":25,"count":9},{"heightMm":50,"count":9},{"heightMm":100,"count":12},{"heightMm":150,"count":12},{"heightMm":200,"count":9}]},
  "spacing":{"gapMm":6,"headroomMm":12,"shelfGapMm":3}}' | field .id)
echo "Round top-loader, 585 mm wide, 685 mm deep, 11.5 kW, rated to cone 10."

say 'Clays and glazes'
stoneware=$(call "$technician" POST "$s/clays" 201 '{"name":"grey stoneware","cones":{"from":"5","to":"7"},"bisqueCones":{"from":"08","to":"04"},"atmospheres":["oxidation","reduction"],"expansionPpmPerC":6.9,"expansionMethod":"dilatometer 20-500 C","absorptionPercent":2.0,"contains":[]}' | field .id)
earthenware=$(call "$technician" POST "$s/clays" 201 '{"name":"red earthenware","cones":{"from":"06","to":"02"},"bisqueCones":{"from":"06","to":"04"},"atmospheres":["oxidation"],"contains":[]}' | field .id)
white=$(call "$technician" POST "$s/glazes" 201 '{"name":"quiet white","kind":"glaze","cones":{"from":"5","to":"6"},"atmospheres":["oxidation"],"expansionPpmPerC":6.2,"expansionMethod":"dilatometer 20-500 C","contains":[],"movement":"stable"}' | field .id)
river=$(call "$technician" POST "$s/glazes" 201 '{"name":"river blue","kind":"glaze","cones":{"from":"5","to":"6"},"atmospheres":["oxidation"],"expansionPpmPerC":6.1,"expansionMethod":"dilatometer 20-500 C","contains":[],"movement":"stable"}' | field .id)
sun=$(call "$technician" POST "$s/glazes" 201 '{"name":"sun yellow low","kind":"glaze","cones":{"from":"06","to":"04"},"atmospheres":["oxidation"],"contains":[],"movement":"runs"}' | field .id)
echo "grey stoneware (cone 5-7), red earthenware (06-02); quiet white and river blue (5-6), sun yellow low (06-04)."

say 'Pieces of three potters'
# piece TOKEN JSON  writes a piece down and prints its id.
piece() { call "$1" POST "$s/pieces" 201 "$2" | field .id; }
bird() { # bird MARK COATS
  piece "$mira_token" "{\"name\":\"cast bird\",\"mark\":\"$1\",\"footprint\":{\"kind\":\"rectangle\",\"widthMm\":140,\"depthMm\":90},\"heightMm\":175,\"massG\":720,\"clayId\":\"$stoneware\",\"layers\":[{\"glazeId\":\"$river\",\"coats\":$2,\"where\":\"outside\"}],\"stage\":\"bisque\",\"bisquedAt\":\"04\",\"bareFootMm\":6}"
}
bird1=$(bird M1 1) bird2=$(bird M2 2) bird3=$(bird M3 3)
mugs=$(piece "$rosa_token" "{\"name\":\"mug\",\"mark\":\"R\",\"quantity\":8,\"footprint\":{\"kind\":\"circle\",\"diameterMm\":92},\"heightMm\":110,\"massG\":390,\"clayId\":\"$stoneware\",\"layers\":[{\"glazeId\":\"$white\",\"coats\":2}],\"stage\":\"bisque\",\"bisquedAt\":\"04\",\"forFood\":true,\"bareFootMm\":1}")
vases=$(piece "$jonas_token" "{\"name\":\"vase\",\"mark\":\"J\",\"quantity\":3,\"footprint\":{\"kind\":\"circle\",\"diameterMm\":150},\"heightMm\":240,\"massG\":1650,\"clayId\":\"$stoneware\",\"layers\":[{\"glazeId\":\"$white\",\"coats\":2}],\"stage\":\"bisque\",\"bisquedAt\":\"04\",\"bareFootMm\":6}")
dish=$(piece "$jonas_token" "{\"name\":\"red dish\",\"mark\":\"JD\",\"footprint\":{\"kind\":\"circle\",\"diameterMm\":210},\"heightMm\":45,\"massG\":900,\"clayId\":\"$earthenware\",\"layers\":[{\"glazeId\":\"$sun\",\"coats\":2}],\"stage\":\"bisque\",\"bisquedAt\":\"04\"}")
echo "Mira: three cast birds with 1, 2 and 3 coats of river blue, marked M1, M2, M3. Rosa: eight mugs. Jonas: three vases and a red dish."

say 'A glaze firing at cone 6 that accepts'
start=$(date -u -d '+2 days 06:00' +%Y-%m-%dT%H:%M:%SZ)
firing=$(call "$technician" POST "$s/firings" 201 "{\"kilnId\":\"$kiln\",\"kind\":\"glaze\",\"cone\":\"6\",\"series\":\"selfSupporting\",\"atmosphere\":\"oxidation\",\"startsAt\":\"$start\",\"firingHours\":11,\"coolingHours\":20}")
f=$s/firings/$(field .id <<<"$firing")
jq -r '"cone \(.cone) is \(.coneEquivalent.celsius) °C (\(.coneEquivalent.fahrenheit) °F) at 60 °C/h; the kiln is kept from \(.startsAt) to \(.endsAt), hours \(.hoursBasis)"' <<<"$firing"
call "$technician" PUT "$f/state" 200 '{"state":"accepting"}' >/dev/null

say 'Bookings'
booked=$(call "$mira_token" POST "$f/bookings" 201 "{\"pieces\":[{\"pieceId\":\"$bird1\"},{\"pieceId\":\"$bird2\"},{\"pieceId\":\"$bird3\"}]}")
tell '"Mira: \(.state), plan version \(.loadVersion): " + ([.copies | due[] | "\(.mark) on shelf \(.shelf)"] | join(", "))' <<<"$booked"
refused=$(call "$jonas_token" POST "$f/bookings" 422 "{\"pieces\":[{\"pieceId\":\"$dish\"}]}")
tell 'if .code == "cofiring.incompatible" then "Jonas, red dish: refused (\(.values.rules | due | join(", ")))", (.values.messages | due[] | "  - \(.)") else error("not refused as incompatible") end' <<<"$refused"
asked=$(call "$rosa_token" POST "$f/bookings" 422 "{\"pieces\":[{\"pieceId\":\"$mugs\"}]}")
tell 'if .code == "cofiring.needs-accepts" then "Rosa, mugs: to be accepted first (\(.values.rules | due | join(", ")))", (.values.messages | due[] | "  - \(.)") else error("accepts not asked for") end' <<<"$asked"
accepts=$(jq -c .values.rules <<<"$asked")
booked=$(call "$rosa_token" POST "$f/bookings" 201 "{\"pieces\":[{\"pieceId\":\"$mugs\"}],\"accepts\":$accepts}")
tell '"Rosa: \(.state) after accepting, plan version \(.loadVersion), \(.copies | due | length) mugs"' <<<"$booked"
booked=$(call "$jonas_token" POST "$f/bookings" 201 "{\"pieces\":[{\"pieceId\":\"$vases\"}]}")
jq -r '"Jonas, vases: \(.state), plan version \(.loadVersion)"' <<<"$booked"

say 'The load plan'
plan=$(call "$viewer" GET "$f/load-plan" 200)
tell '(.pieces | due | map({key: .pieceId, value: .}) | from_entries) as $who
  | (.plan.shelves | due | map(.placements[]) | due) as $stands
  | .plan.shelves[] | "shelf \(.index) (\(.shelfId)), upper face at \(.topMm) mm, \(.clearAboveMm) mm clear, \(.areaUse * 100 | round) % of it in use:",
    (.placements[] | . as $p | "  \($who[.pieceId].name) \($who[.pieceId].mark)\(if ($who[.pieceId].studioCopies | length) > 1 then " no. " + ([.copies[] | $who[$p.pieceId].studioCopies[.]] | map(tostring) | join("+")) else "" end) at x \(.xMm), y \(.yMm) mm\(if .rotationDeg != 0 then ", turned \(.rotationDeg)°" else "" end)")' <<<"$plan"
tell '"posts: " + ([.plan.posts | due[] | .heightsMm | map(tostring) | join("+")] | group_by(.) | map("\(length) of \(.[0]) mm") | join(", "))' <<<"$plan"

say 'What really went in: one mug stays behind'
call "$technician" PUT "$f/state" 200 '{"state":"fixed"}' >/dev/null
load=$(call "$technician" PUT "$f/load" 200 "{\"placed\":[{\"pieceId\":\"$bird1\"},{\"pieceId\":\"$bird2\"},{\"pieceId\":\"$bird3\"},{\"pieceId\":\"$vases\"},{\"pieceId\":\"$mugs\",\"copies\":[0,1,2,3,4,5,6]}],\"leftBehind\":[{\"pieceId\":\"$mugs\",\"copies\":[7],\"reason\":\"glaze on the foot\"}]}")
tell '"\([.items[] | select(.fate == "placed")] | due | length) pieces in; left behind: " + ([.items[] | select(.fate == "leftBehind") | "\(.name) \(.mark) no. \(.copy), \(.reason)"] | due | join("; "))' <<<"$load"

say 'The meter'
lit=$(date -u -d '-34 hours' +%Y-%m-%dT%H:%M:%SZ) off=$(date -u -d '-23 hours' +%Y-%m-%dT%H:%M:%SZ)
call "$technician" PUT "$f/lighting-checks" 200 '{"ventOn":true,"witnessConesPlaced":true,"plugsAsWanted":true,"shelvesWashed":true,"nothingFlammableNear":true,"presentAtEnd":"Tilo"}' >/dev/null
call "$technician" PUT "$f/state" 200 "{\"state\":\"heating\",\"litAt\":\"$lit\"}" >/dev/null
call "$technician" POST "$f/meter-readings" 201 "{\"readAt\":\"$lit\",\"registerKwh\":4821.4}" >/dev/null
fell=$(call "$technician" POST "$f/meter-readings" 422 "{\"readAt\":\"$off\",\"registerKwh\":4812.1}")
jq -r '"a register that fell: refused (\(.code))"' <<<"$fell"
call "$technician" POST "$f/meter-readings" 201 "{\"readAt\":\"$off\",\"registerKwh\":4884.8}" >/dev/null
call "$technician" PUT "$f/state" 200 '{"state":"cooling"}' >/dev/null
call "$technician" PUT "$f/state" 200 '{"state":"unloaded","outcome":"sound"}' >/dev/null

say 'The cost, divided and settled'
names=$(jq -n --arg m "$mira" --arg j "$jonas" --arg r "$rosa" '{($m): "Mira", ($j): "Jonas", ($r): "Rosa"}')
split=$(call "$technician" GET "$f/cost-split" 200)
tell --argjson names "$names" '"\(.energyKwh) kWh, \(.split.totalMinor | money) \(.currency) in all", (.reasons | to_entries[] | "  \(.key): \(.value)"),
  (.split.shares | due[] | "\($names[.id]): \(.amountMinor | money) (" + ([.parts | due[] | "\(.name) \(.amountMinor | money)"] | join(", ")) + ")")' <<<"$split"
settled=$(call "$technician" POST "$f/settlement" 201)
jq -e '.split | (.shares | length > 0) and ([.shares[].amountMinor] | add) == .totalMinor' <<<"$settled" >/dev/null || { echo 'the shares do not add up' >&2; exit 1; }
again=$(call "$technician" POST "$f/settlement" 409)
jq -r '"settled once; asked again: \(.code)"' <<<"$again"
call "$technician" GET "$s/accounts" 200 | tell --argjson names "$names" '([.items | due[].balanceMinor] | add) as $sum | if $sum == 0 then "the books sum to 0; " + ([.items[] | select(.memberId != null and .balanceMinor != 0) | "\($names[.memberId]) owes \(.balanceMinor | money)"] | due | join(", ")) else error("the books do not balance") end'

say 'How it came out, and what that says'
outcome() { call "$mira_token" POST "$s/pieces/$1/outcomes" 201 "{\"firingId\":\"${f##*/}\",\"copy\":0,\"grade\":\"$2\",\"note\":\"$3\"$4}" >/dev/null; }
outcome "$bird1" fair 'Thin: the clay shows through on the wings.' ',"defects":["colourOff"]'
outcome "$bird2" good 'Blue pooled in the feathers, broke to rust on the edges.' ''
outcome "$bird3" poor 'Ran into the beak.' ',"defects":["running"]'
call "$viewer" GET "$s/evidence" 200 | tell '.rows | due[] | "\(.clay), \(.coats) \(if .coats == 1 then "coat" else "coats" end) of \(.glaze) at cone \(.cone) in \(.atmosphere): \(.pieces) seen in \(.firings) firing(s): \(.grades | to_entries | due | map("\(.value) \(.key)") | join(", "))\(if .repeated then "" else " (not repeated yet: one firing proves nothing)" end)"'

if [ -n "$env_file" ]; then
  (umask 077; cat >"$env_file" <<TOKENS
KILNSHARE_URL=$KILNSHARE_URL
KILNSHARE_STUDIO=$studio
KILNSHARE_OWNER_TOKEN=$owner
KILNSHARE_TECHNICIAN_TOKEN=$technician
KILNSHARE_POTTER_TOKEN=$mira_token
KILNSHARE_VIEWER_TOKEN=$viewer
KILNSHARE_INSTALLATION_TOKEN=$KILNSHARE_INSTALLATION_TOKEN
TOKENS
  )
fi
say 'The main job is done: every step answered as it must.'
