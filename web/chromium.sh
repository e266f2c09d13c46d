#!/bin/sh
# Prints the path of a Chromium for the browser tests: the one named in
# CHROMIUM, or one on the PATH; else installs Debian's, where that may be done.
set -eu

find_chromium() {
  for name in chromium chromium-browser google-chrome google-chrome-stable; do
    command -v "$name" && return 0
  done
  return 1
}

if [ -n "${CHROMIUM:-}" ]; then
  if [ -x "$CHROMIUM" ]; then
    echo "$CHROMIUM"
    exit 0
  fi
  echo "CHROMIUM names $CHROMIUM, which cannot be run." >&2
  exit 1
fi
find_chromium && exit 0

as_root=
if [ "$(id -u)" != 0 ]; then
  if command -v sudo >/dev/null && sudo -n true 2>/dev/null; then
    as_root='sudo -n'
  else
    as_root=none
  fi
fi
if [ "$as_root" != none ] && command -v apt-get >/dev/null; then
  echo 'Installing Chromium for the browser tests...' >&2
  {
    $as_root apt-get update -q &&
      $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends chromium fonts-dejavu-core
  } >&2
  find_chromium && exit 0
fi

echo 'No Chromium was found for the browser tests. Install one (Debian: apt-get install chromium), or name one in CHROMIUM.' >&2
exit 1
