#!/bin/sh
# For go test -exec: runs a program for js/wasm, made smaller first as the
# site's are. Arguments: this folder's program, Go's runner, the program and its
# own arguments.
set -eu
slim=$1
run=$2
shift 2
"$slim" "$1" >&2
exec "$run" "$@"
