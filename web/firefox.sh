#!/bin/sh
# Prints the path of a Firefox for the browser tests: the one named in FIREFOX,
# or one on the PATH; else installs Debian's, where that may be done.
set -eu

find_firefox() {
  for name in firefox-esr firefox; do
    command -v "$name" && return 0
  done
  return 1
}

if [ -n "${FIREFOX:-}" ]; then
  if [ -x "$FIREFOX" ]; then
    echo "$FIREFOX"
    exit 0
  fi
  echo "FIREFOX names $FIREFOX, which cannot be run." >&2
  exit 1
fi
find_firefox && exit 0

as_root=
if [ "$(id -u)" != 0 ]; then
  if command -v sudo >/dev/null && sudo -n true 2>/dev/null; then
    as_root='sudo -n'
  else
    as_root=none
  fi
fi
if [ "$as_root" != none ] && command -v apt-get >/dev/null; then
  echo 'Installing Firefox for the browser tests...' >&2
  {
    $as_root apt-get update -q &&
      $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends firefox-esr fonts-dejavu-core
  } >&2 || true
  find_firefox && exit 0
fi

echo 'No Firefox was found, so that its tests are skipped. Install one (Debian: apt-get install firefox-esr), or name one in FIREFOX.' >&2
exit 1
