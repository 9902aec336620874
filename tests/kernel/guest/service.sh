#!/bin/sh
# What systemd does with the unit, in a guest without systemd: make its folders, start the daemon, wait for its end whatever it
# was, run the steps after a stop in their order, and start again once /service/hold is gone. The host writes /service.
. /service/environment
while true; do
  mkdir -p "$RUNTIME_DIRECTORY" "$STATE_DIRECTORY"
  sh -c "exec $(cat /service/start)" >> /service/log 2>&1 < /dev/null &
  echo $! > /service/pid
  wait $!
  echo "service: ended with status $?" >> /service/log
  while read -r step; do
    sh -c "$step" >> /service/log 2>&1 < /dev/null
    echo "service: status $? of $step" >> /service/log
  done < /service/stop-post
  rm -rf "$RUNTIME_DIRECTORY"
  touch /service/stopped
  while [ -e /service/hold ]; do sleep 0.2; done
  rm -f /service/stopped
done
