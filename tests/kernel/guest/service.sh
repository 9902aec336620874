#!/bin/sh
# What systemd does with the unit, in a guest without systemd: start, wait for the end whatever it was, run the release
# step, and start again once /run/service/hold is gone. $1 starts the daemon, $2 is the unit's ExecStopPost.
# An idle Node with io_uring keeps an emulated processor busy.
mkdir -p /run/service
export UV_USE_IO_URING=0
while true; do
  sh -c "exec $1" >> /run/service/log 2>&1 < /dev/null &
  echo $! > /run/service/pid
  wait $!
  echo "service: ended with status $?" >> /run/service/log
  sh -c "$2" >> /run/service/log 2>&1 < /dev/null
  echo "service: release step ended with status $?" >> /run/service/log
  while [ -e /run/service/hold ]; do sleep 0.2; done
done
