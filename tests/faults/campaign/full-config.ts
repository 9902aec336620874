// A config in which nearly every key is written, so that whatever a file can say can be spoiled. It runs as it stands.

import { DEMO_CONFIG } from "../../../daemon/demo.ts";

/** The demo's config with all other tables beside it. */
export const FULL_CONFIG = `${DEMO_CONFIG}
[[sensor]]
name = "gate post"
role = "ambient"
hwmon = "/sys/class/hwmon/hwmon2/temp1_input"

[[sensor]]
name = "eaves"
role = "wall"
one_wire = "/sys/bus/w1/devices/28-00000a1b2c3d"

[buzzer]
line = 25

[ptt]
line = 22
keyed = "low"

[fan_cut]
line = 27

[fan]
nominal_speed = "11000rpm"
nominal_supply = "12V"
pulses_per_revolution = 2
start = "5s"
stall = "0.3s"
slow = 0.85
surge = 0.03
longest_off = "12h"

[fan.power_cycle]
attempts = 2
off = "5s"
wait = "10s"

[limits]
core = "110C"
reduce = "100C"
alarm = "95C"
reset = "85C"
inhibit_deadband = "5K"
outlet = "80C"
outlet_reduce = "65C"
witness_margin = "20K"
minimum_reduced = "120s"
estimate_grace = "5s"
witness_grace = "30s"
longest_bypass = "30min"

[alarms]
longest_shelving = "8h"
flow_factor = 0.7
loss_factor = 1.4
disagreement = "15K"
innovation = 6
condensation = "1K"
supply = 0.85
stuck = "900s"
swapped = "300s"
upsets_per_minute = 2
drive_ratio = 1.5
keying = "20s"
disk_free = 0.05
service_silent = "5s"
cycle_late = "0.25s"
rig_link = "30s"
proof_test_days = 365
buzzer_from = "high"

[station]
frequency = "3.6MHz"
mode = "CW"
full_drive = "1500W"
region = "1"

[listen]
host = "127.0.0.1"
port = 0
names = ["feedpoint.local"]
clients = 64

[log]
keep = "14d"
most_megabytes = 1000
`;
