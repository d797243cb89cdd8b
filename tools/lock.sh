#!/usr/bin/env bash
# Resolve pyproject.toml for every platform into hashed locks that name no registry.
set -euo pipefail
cd "$(dirname "$0")/.."

uv=${UV:-.tools/uv/bin/uv}
# pip's settings of one machine must not leak into everybody's lock; UV_* are the caller's own wish.
unset PIP_FIND_LINKS PIP_EXTRA_INDEX_URL PIP_CONSTRAINT
options=(--universal --python-version 3.11 --generate-hashes --no-header --no-annotate --quiet ${UPGRADE:+--upgrade})

"$uv" pip compile "${options[@]}" --extra batch --extra heic --group test --group lint \
  pyproject.toml --output-file requirements.lock
printf 'uv\n' | "$uv" pip compile "${options[@]}" - --output-file tools/uv.lock

if grep -nE 'https?://|^--|/' requirements.lock tools/uv.lock | grep -v 'hash=sha256'; then
  echo "lock: the lines above name a place; a lock holds names, versions and hashes only" >&2
  exit 1
fi
echo "lock: $(grep -c '^[A-Za-z]' requirements.lock) packages"

if [ -n "${UPGRADE:-}" ] || [ tools/node/package.json -nt tools/node/package-lock.json ]; then
  if command -v npm >/dev/null; then
    (cd tools/node && npm install --package-lock-only --ignore-scripts --no-fund --no-audit \
      --omit-lockfile-registry-resolved --loglevel=error)
    # Addresses of any kind stay out; the integrity hashes are what is checked.
    .venv/bin/python - <<'PYTHON'
import json, pathlib
path = pathlib.Path("tools/node/package-lock.json")
lock = json.loads(path.read_text())
for package in lock["packages"].values():
    package.pop("resolved", None)
    package.pop("funding", None)
path.write_text(json.dumps(lock, indent=2) + "\n")
PYTHON
  else
    echo "lock: npm is missing, so tools/node/package-lock.json stays as it is" >&2
  fi
fi
