#!/usr/bin/env bash
# Make .venv hold exactly what requirements.lock says, and stallwise itself as an editable install.
# Run again, it does nothing: the stamps hold the hash of what was installed, not a file's age.
set -euo pipefail
cd "$(dirname "$0")/.."

lock=requirements.lock
say() { printf 'venv: %s\n' "$*"; }
hash_of() { python_run -c 'import hashlib,sys; print(hashlib.sha256(b"".join(open(p,"rb").read() for p in sys.argv[1:])).hexdigest())' "$@"; }
python_run() { if [ -x .venv/bin/python ]; then .venv/bin/python "$@"; else "$PYTHON_FOUND" "$@"; fi; }

find_python() {
  local name
  for name in ${PYTHON:-} python3 python3.13 python3.12 python3.11 python; do
    if "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
      PYTHON_FOUND=$name
      return
    fi
  done
  echo "venv: no Python 3.11 or newer on the path. Install one (Debian, Ubuntu: apt-get install python3 python3-venv)," >&2
  echo "      or name it: make venv PYTHON=/path/to/python3" >&2
  exit 1
}

# uv reads none of pip's settings, so hand it the two that a house with its own mirror needs.
lend_pip_settings() {
  local index
  index=${PIP_INDEX_URL:-$(.venv/bin/python -m pip config get global.index-url 2>/dev/null || true)}
  if [ -n "$index" ] && [ -z "${UV_DEFAULT_INDEX:-}" ]; then export UV_DEFAULT_INDEX=$index; fi
  if [ -n "${PIP_CERT:-}" ] && [ -z "${SSL_CERT_FILE:-}" ]; then export SSL_CERT_FILE=$PIP_CERT; fi
}

# uv takes seconds where pip takes a minute. It lives beside the environment, so that a sync cannot remove it.
fetch_uv() {
  local want
  want=$(hash_of tools/uv.lock)
  if [ -x .tools/uv/bin/uv ] && [ "$(cat .tools/uv/.stamp 2>/dev/null)" = "$want" ]; then return 0; fi
  rm -rf .tools/uv
  .venv/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes --only-binary :all: \
    --target .tools/uv -r tools/uv.lock 2>.tools/uv.log || return 1
  .tools/uv/bin/uv --version >/dev/null 2>&1 || return 1
  printf '%s' "$want" >.tools/uv/.stamp
}

install_lock() {
  if fetch_uv; then
    lend_pip_settings
    # Bytecode at install: PYTHONDONTWRITEBYTECODE may be set, and every start would compile pandas again.
    if .tools/uv/bin/uv pip sync --quiet --python .venv/bin/python --require-hashes --compile-bytecode "$lock"; then
      return
    fi
    say "uv could not install the lock; trying pip (about a minute)"
  else
    say "uv cannot be had here; using pip (about a minute)"
  fi
  # --no-deps: the lock is whole, and pip takes an extra inside it for a requirement without a hash.
  .venv/bin/python -m pip install --quiet --disable-pip-version-check --no-deps --require-hashes -r "$lock"
  .venv/bin/python -m compileall -q -j 0 .venv/lib || true # some packages carry files for other Pythons
}

install_self() {
  # hatchling and editables are in the lock: no build isolation, no network.
  .venv/bin/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --no-index -e .
  # JupyterLab asks for news and for updates over the network unless told not to.
  mkdir -p .venv/share/jupyter/lab/settings
  cp tools/jupyterlab_overrides.json .venv/share/jupyter/lab/settings/overrides.json
}

find_python
if [ -e .venv ] && ! .venv/bin/python -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
  say ".venv has no working Python; making it anew"
  rm -rf .venv
fi
if [ ! -x .venv/bin/python ]; then
  say "making .venv with $("$PYTHON_FOUND" --version)"
  "$PYTHON_FOUND" -m venv .venv || {
    echo "venv: Python's venv or ensurepip is missing. Debian, Ubuntu: apt-get install python3-venv" >&2
    rm -rf .venv
    exit 1
  }
fi
mkdir -p .tools

want=$(hash_of "$lock")
if [ "$(cat .venv/.lock-stamp 2>/dev/null)" != "$want" ]; then
  rm -f .venv/.lock-stamp .venv/.self-stamp
  say "installing the packages of $lock"
  install_lock
  printf '%s' "$want" >.venv/.lock-stamp
fi
want=$(hash_of pyproject.toml tools/jupyterlab_overrides.json)
if [ "$(cat .venv/.self-stamp 2>/dev/null)" != "$want" ] || [ ! -x .venv/bin/stallwise ]; then
  say "installing stallwise itself (editable)"
  install_self
  printf '%s' "$want" >.venv/.self-stamp
fi
# Our own bytecode too: a start is a third faster with it. Up-to-date files are passed over.
.venv/bin/python -m compileall -q src
