#!/usr/bin/env bash
# Programs that the tests need and that Python's packages cannot bring: a browser, Java, Node.
# Installed through apt-get where that is allowed; otherwise named, with exit status 1.
set -euo pipefail
cd "$(dirname "$0")/.."

missing=() # Debian's and Ubuntu's names
have() { command -v "$1" >/dev/null 2>&1; }

have chromium || have chromium-browser || have google-chrome || missing+=(chromium)
java -version >/dev/null 2>&1 || missing+=(default-jre-headless) # the Nu HTML checker
have pdftotext && have pdfinfo || missing+=(poppler-utils) # what a printed sheet says
have node || missing+=(nodejs)
have npm || missing+=(npm)
# A page that is measured without a font is measured wrong.
[ -e /usr/share/fonts/truetype/dejavu/DejaVuSans.ttf ] || { have fc-match && fc-match sans 2>/dev/null | grep -q .; } ||
  missing+=(fonts-dejavu-core)

[ ${#missing[@]} -gt 0 ] || exit 0

give_up() {
  echo "tests: these programs are missing and cannot be installed from here ($1)." >&2
  echo "tests: install them, then run make test again. On Debian or Ubuntu:" >&2
  echo "    sudo apt-get install ${missing[*]}" >&2
  exit 1
}

have apt-get || give_up "no apt-get"
if [ "$(id -u)" = 0 ]; then
  as_root=(env)
elif have sudo && sudo -n true 2>/dev/null; then
  as_root=(sudo -n env)
else
  give_up "not root"
fi

echo "tests: installing ${missing[*]} through apt-get"
log=$(mktemp)
trap 'rm -f "$log"' EXIT
install() {
  "${as_root[@]}" DEBIAN_FRONTEND=noninteractive apt-get install --yes --quiet --no-install-recommends \
    "${missing[@]}" </dev/null >>"$log" 2>&1
}
# The list of packages may be stale or, on a fresh machine, empty. One source that cannot be
# reached must not stop the others, so the update's own status does not count.
install || { "${as_root[@]}" apt-get update --quiet </dev/null >>"$log" 2>&1 || true; install; } ||
  { tail -n 15 "$log" >&2; give_up "apt-get failed, as above"; }
