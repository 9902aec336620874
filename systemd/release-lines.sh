#!/bin/sh
# Releases every output that the daemon had open: writes 0 to each value file on its list. Called by the unit when the daemon
# has ended, however it ended. Needs nothing but a shell; writes to nothing but values of GPIO lines.
# Arguments, both for tests: the list, and a directory to put before each path.
list="${1:-${RUNTIME_DIRECTORY:-/run/emberwire}/outputs}"
root="${2:-}"
status=0

# No list: the daemon opened no output, and there is nothing to release.
[ -r "$list" ] || exit 0

while IFS= read -r path; do
  case "$path" in
    *..*) continue ;;
    /sys/class/gpio/gpio[0-9]*/value) ;;
    *) continue ;;
  esac
  # Given back to the kernel already, with its level low.
  [ -e "$root$path" ] || continue
  echo 0 > "$root$path" || status=1
done < "$list"

exit "$status"
