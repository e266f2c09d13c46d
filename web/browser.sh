#!/bin/sh
# Prints the path of a browser for the tests, "chromium" or "firefox": the one
# named in CHROMIUM or FIREFOX, or one on the PATH; else installs Debian's, where
# that may be done.
set -eu

case "$1" in
  chromium) title=Chromium variable=CHROMIUM named=${CHROMIUM:-} package=chromium names='chromium chromium-browser google-chrome google-chrome-stable' ;;
  firefox) title=Firefox variable=FIREFOX named=${FIREFOX:-} package=firefox-esr names='firefox-esr firefox' ;;
  *) echo "browser.sh: no such browser: $1" >&2; exit 2 ;;
esac

find_it() {
  for name in $names; do
    command -v "$name" && return 0
  done
  return 1
}

if [ -n "$named" ]; then
  if [ -x "$named" ]; then
    echo "$named"
    exit 0
  fi
  echo "$variable names $named, which cannot be run." >&2
  exit 1
fi
find_it && exit 0

as_root=
if [ "$(id -u)" != 0 ]; then
  if command -v sudo >/dev/null && sudo -n true 2>/dev/null; then
    as_root='sudo -n'
  else
    as_root=none
  fi
fi
if [ "$as_root" != none ] && command -v apt-get >/dev/null; then
  echo "Installing $title for the browser tests..." >&2
  {
    $as_root apt-get update -q &&
      $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends "$package" fonts-dejavu-core
  } >&2 || true
  find_it && exit 0
fi

echo "No $title was found for the browser tests. Install one (Debian: apt-get install $package), or name one in $variable." >&2
exit 1
