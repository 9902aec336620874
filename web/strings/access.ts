// The words of login and of what may not be done without one.

export const accessWords = {
  name: { operator: "Operator", viewer: "Viewer" },
  readOnly: "Read only",
  logIn: "Log in",
  change: "Log out",
  whyButton: "Why?",
  needs: "login needed",
  notHere: "not from here",
  title: "Log in",
  titleIn: { operator: "You are logged in as operator", viewer: "You are logged in as viewer" },
  inNote: {
    operator:
      "You may acknowledge, reset, bypass and test. The record names you as operator, with the address you come from.",
    viewer: "You may look. Changing anything needs the operator's login.",
  },
  as: "Log in as",
  choice: { operator: "operator: may change things", viewer: "viewer: may look" },
  password: "Password",
  wrong: "This is not the password.",
  wait: (seconds: number): string => `Too many tries. Wait ${seconds} s.`,
  failed: "The daemon did not answer. Try again.",
  clear:
    "This connection is not encrypted: others on this network could read the password. Use TLS or an SSH tunnel, as the manual says.",
  logOut: "Log out",
  everywhere: "Log out everywhere",
  close: "Leave it",
  lookFirst: "A login is needed to look at this feedpoint.",
  why: {
    login: "The page is read-only until you log in as operator. You can look at everything; nothing is changed.",
    viewer: "You are logged in as viewer, who may look and change nothing. Log in as operator for this.",
    noPassword:
      "The page is read-only from here. It can be operated on the feedpoint's own machine, or from here once an operator password is set there: emberwire set-password.",
    locked: "Nobody can log in: the file with the passwords cannot be read. The record says why.",
  },
} as const;
