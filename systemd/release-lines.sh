#!/bin/sh
# Releases every output that the daemon had open. Called by the unit when the daemon has ended, however it ended. Needs nothing
# but a shell and the kernel's sysfs; writes to nothing but GPIO lines. The list names a file for each line:
#   …/gpioN/value      the daemon had it through sysfs, and the dead process left it given out: 0 is written to it;
#   …/gpioN/direction  it had the character device, and the kernel freed the line with whatever level it had: the line is given
#                      out through sysfs, made an output that is low, and given back.
# Arguments, both for tests: the list, and a directory to put before each path.
list="${1:-${RUNTIME_DIRECTORY:-/run/emberwire}/outputs}"
root="${2:-}"
status=0

# No list: the daemon opened no output, and there is nothing to release.
[ -r "$list" ] || exit 0

# udev may still be handing a new line's files over to the group.
TRIES=20
PAUSE=0.05

write_once_allowed() {
  left="$TRIES"
  until [ -w "$2" ]; do
    left=$((left - 1))
    [ "$left" -gt 0 ] || return 1
    sleep "$PAUSE"
  done
  echo "$1" > "$2"
}

release_freed_line() {
  number="${1#/sys/class/gpio/gpio}"
  number="${number%/direction}"
  [ -e "$root$1" ] || echo "$number" > "$root/sys/class/gpio/export" || return 1
  write_once_allowed low "$root$1"
  released=$?
  # Whatever became of it: a line that stays given out is one that the next daemon cannot have.
  echo "$number" > "$root/sys/class/gpio/unexport" || return 1
  return "$released"
}

while IFS= read -r path; do
  case "$path" in
    *..*) continue ;;
    /sys/class/gpio/gpio*[!0-9]*/value | /sys/class/gpio/gpio*[!0-9]*/direction) continue ;;
    /sys/class/gpio/gpio[0-9]*/value)
      # Given back to the kernel already, with its level low.
      [ -e "$root$path" ] || continue
      echo 0 > "$root$path" || status=1
      ;;
    /sys/class/gpio/gpio[0-9]*/direction) release_freed_line "$path" || status=1 ;;
  esac
done < "$list"

exit "$status"
