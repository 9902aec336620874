// The table [mqtt]: what it amounts to by its defaults, and every way in which it can be wrong, each with its line.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { outletOf } from "../../daemon/config/mqtt.ts";
import { parseConfig } from "../../daemon/config/parse.ts";
import { RequestError } from "../../daemon/config/problem.ts";
import { testFolder } from "../support/folder.ts";

const HEAD = `[feedpoint]\nname = "Förde, north"\n[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n[mqtt]\n`;
const read = (keys: string) => outletOf(parseConfig(HEAD + keys, "m.toml"), "/data", false);

function refusal(keys: string): string {
  try {
    read(keys);
  } catch (error) {
    if (error instanceof RequestError) return error.message;
    throw error;
  }
  return "accepted";
}

describe("the broker", () => {
  it("is nobody's business without a table", () => {
    expect(outletOf(parseConfig(HEAD.replace("[mqtt]\n", ""), "m.toml"), "/data", false)).toBeNull();
  });

  it("is reached over TLS on its own port, and the topic is made of the feedpoint's name", () => {
    expect(read('broker = "mqtts://broker.example.org"\n')).toEqual({
      // Ports: IANA service name registry, secure-mqtt.
      broker: {
        host: "broker.example.org",
        port: 8883,
        tls: true,
        ca: null,
        user: null,
        password: null,
        clientId: "emberwire-forde-north",
      },
      prefix: "emberwire",
      id: "forde-north",
      page: null,
      everySeconds: 1,
      expirySeconds: 30,
      bookmarkFile: "/data/mqtt.json",
    });
  });

  it("takes password and certificates from files", () => {
    const folder = testFolder();
    writeFileSync(join(folder, "password"), "orchard\nnever this\n");
    writeFileSync(join(folder, "ca.pem"), "-----BEGIN CERTIFICATE-----\nMII\n-----END CERTIFICATE-----\n");
    const keys = `broker = "mqtts://[::1]:9"\nuser = "gate"\npassword_file = "${folder}/password"\nca_file = "${folder}/ca.pem"\n`;
    expect(read(keys)?.broker).toMatchObject({ host: "::1", port: 9, user: "gate", password: "orchard" });
    expect(read(keys)?.broker.ca).toContain("MII");
  });

  it.each([
    ["", "m.toml:7: mqtt.broker: expected an address such as mqtts://"],
    ['broker = "http://a"\n', "m.toml:8: mqtt.broker: expected an address such as mqtts://"],
    ['broker = "mqtt://user:secret@a"\n', "m.toml:8: mqtt.broker: expected an address such as mqtts://"],
    ['broker = "mqtt://a"\n', "m.toml:8: mqtt.broker: expected mqtts:// for another machine, or unencrypted = true"],
    ['broker = "mqtt://127.0.0.1"\nca_file = "x"\n', "m.toml:9: mqtt.ca_file: expected mqtts:// beside it"],
    ['broker = "mqtts://a"\nuser = "b"\n', "m.toml:7: mqtt: expected user and password_file together, got only one"],
    ['broker = "mqtts://a"\nuser = "b"\npassword_file = "/none"\n', "/none (there is none)"],
    ['broker = "mqtts://a"\nca_file = "/etc/hostname"\n', "expected a file with certificates in PEM"],
    ['broker = "mqtts://a"\nid = "a/b"\n', "m.toml:9: mqtt.id: expected 1 to 64 letters"],
    ['broker = "mqtts://a"\nprefix = "a/#"\n', "m.toml:9: mqtt.prefix: expected levels of letters"],
    ['broker = "mqtts://a"\npage = "javascript:alert(1)"\n', "m.toml:9: mqtt.page: expected an address that begins"],
    [
      'broker = "mqtts://a"\npasword_file = "x"\n',
      'm.toml:9: mqtt.pasword_file: expected a known key; the nearest is "password_file"',
    ],
  ])("refuses %j", (keys, words) => {
    expect(refusal(keys)).toContain(words);
  });
});
