#!/bin/sh
# The host posts a script; its output goes back with the exit status as the last line.
printf 'Content-Type: text/plain\r\n\r\n'
sh 2>&1
printf '\nstatus %s\n' "$?"
