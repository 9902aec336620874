// The simulated feedpoint's own config: what `run` shows when no config is given. A scenario of ours, not anybody's station.

/** Config text, read by the same reader as an operator's. */
export const DEMO_CONFIG = `
[feedpoint]
name = "Orchard gate"

[transformer]
mix = "43"
toroids = 3
toroid = "61.0x35.55x12.7mm"
primary_turns = 3
secondary_turns = 21
wire_diameter = "1.3mm"

[[sensor]]
name = "inlet"
role = "inlet"
chip = "tmp117"
address = 0x48

[[sensor]]
name = "outlet"
role = "outlet"
chip = "tmp117"
address = 0x49

[[sensor]]
name = "wall"
role = "wall"
chip = "mcp9808"
address = 0x18

[[sensor]]
name = "ambient"
role = "ambient"
chip = "sht4x"
address = 0x44

[tach]
line = 17

[relay]
reduce = 23
inhibit = 24

[supply]
chip = "ina219"
address = 0x40

[drive]
address = 0x4a
reflected_channel = 1
calibration = [["0V", "0W"], ["2V", "1000W"], ["3V", "2250W"]]
`;

/** How its file is called in problem lines. */
export const DEMO_NAME = "simulated feedpoint";
