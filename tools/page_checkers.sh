#!/usr/bin/env bash
# The Nu HTML checker and the accessibility rules into .tools/node; with --audit the page audit too.
set -euo pipefail
cd "$(dirname "$0")/.."

omit=(--omit=dev)
[ "${1:-}" = --audit ] && omit=()
want="$(cat tools/node/package.json tools/node/package-lock.json | cksum) ${omit[*]:-all}"
stamp=.tools/node/.stamp
have=$(cat "$stamp" 2>/dev/null || true)
# What was installed for the audit is enough for the tests.
if [ "$have" = "$want" ] || [ "$have" = "${want%% --omit*} all" ]; then exit 0; fi

mkdir -p .tools/node
rm -f "$stamp"
cp tools/node/package.json tools/node/package-lock.json .tools/node/
echo "tests: installing the page checkers"
# No package may run a script of its own at install.
npm ci --prefix .tools/node --ignore-scripts --no-fund --no-audit --loglevel=error ${omit[@]+"${omit[@]}"} </dev/null || {
  echo "tests: npm could not install the page checkers of tools/node/package.json; is the registry reachable?" >&2
  exit 1
}
printf '%s' "$want" >"$stamp"
