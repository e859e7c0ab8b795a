/** The sentences of sign-in, first start, pairing, the holder of a tablet, people and tablets. */

import type { Access } from "./contracts";
import { minutes } from "./counted";
import { t } from "./language";
import { PASSWORD_LEAST, type PasswordFault } from "./who";

export const ACCESS: Record<Access, string> = { manager: t("manager"), foreman: t("foreman"), auditor: t("auditor"), adviser: t("adviser") };
/** What an account of a role is for, in one line. */
export const ACCESS_FOR: Record<Access, string> = {
  manager: t("Sees and sets up everything, settles, pairs tablets."),
  foreman: t("Marks the rows of one crew."),
  auditor: t("Records checks, sees the map."),
  adviser: t("Sees the map and the figures."),
};

export const PASSWORD_FAULT: Record<PasswordFault, string> = {
  short: t("Use at least {least} characters.", { least: PASSWORD_LEAST }),
  login: t("The password must not be the login."),
  one_character: t("The password is one character over and over."),
  digits: t("Digits alone are too easy to guess: add words."),
  not_the_same: t("The two are not the same."),
};

/** Say until when nobody is let in after too many wrong tries; `hour` is the hour here. */
export const lockedUntil = (what: string, seconds: number, hour: string): string =>
  t("Too many wrong tries. {what} again after {hour}, in {minutes}.", {
    what,
    hour,
    minutes: minutes(Math.max(1, Math.ceil(seconds / 60))),
  });

/** What the frame says of who is here. */
export const HERE = {
  account: t("Your account, and signing out"),
  change: t("Somebody else takes the tablet"),
  tablet: (tablet: string, holder: string | null) => (holder === null || holder === "" ? tablet : `${tablet}: ${holder}`),
} as const;

export const SIGN_IN = {
  title: t("Sign in"),
  login: t("Login"),
  password: t("Password"),
  enter: t("Sign in"),
  noLogin: t("Type your login."),
  noPassword: t("Type your password."),
  locked: t("Sign in"),
  forgotten: t("No password yet, or forgotten? The manager of your farm makes a link for you under People; it signs you in once, and lets you set a new password."),
  tablet: t("Is this a tablet of a crew? Pair it"),
  byLink: t("Signing in by your link…"),
  linkOver: t("This link was used already or has run out. Ask the manager for a new one, or sign in with login and password."),
  linkAgain: t("Try the link again"),
  signedIn: (name: string, login: string | null) => t("You are signed in as {who}.", { who: login === null || login === name ? name : `${name} (${login})` }),
  roles: t("You may work on"),
  roleLine: (farm: string, access: string) => `${farm}: ${access}`,
  noFarm: t("No farm yet."),
  goOn: t("Go on"),
  signOut: t("Sign out"),
  ownPassword: t("Your password"),
  oldPassword: t("Password now"),
  newPassword: t("New password"),
  again: t("New password once more"),
  rule: t("At least {least} characters: several words do well. Not your login, not one character over and over, not digits alone.", {
    least: PASSWORD_LEAST,
  }),
  change: t("Change the password"),
  changed: t("The password is changed."),
} as const;

export const FIRST_START = {
  title: t("First start"),
  lead: t("Nobody has an account here yet. The service wrote a set-up token where it was started; it proves that you run it."),
  token: t("Set-up token"),
  noToken: t("Type the set-up token."),
  tokenTaken: t("The token was in the address and is filled in."),
  name: t("Your name"),
  noName: t("Type your name."),
  login: t("Login"),
  loginHint: t("A short word to sign in with; capitals do not matter."),
  noLogin: t("Choose a login."),
  password: t("Password"),
  again: t("Password once more"),
  make: t("Make the first account"),
  over: t("An account was made here already. Sign in."),
  toSignIn: t("To sign-in"),
} as const;

export const PAIR = {
  title: t("Pair this tablet"),
  lead: t("The manager makes a code under People. It works once, for ten minutes."),
  code: t("Code, 8 letters and digits"),
  toSignIn: t("Sign in with login and password instead"),
  notWhole: t("A code has 8 letters and digits."),
  pair: t("Pair"),
  locked: t("Pair"),
  codeOver: t("This code was used already, has run out, or is none. Ask the manager for a new one."),
  homeTitle: t("First put this page on the home screen"),
  homeWhy:
    t("This tablet empties what a page keeps when it was not opened for seven days, marks not yet sent among it. A page on the home screen is spared, and keeps its own pairing."),
  homeSteps: [
    t("Touch the share button of the browser."),
    t("Choose “Add to Home Screen”."),
    t("Open orchardmap from the home screen."),
    t("Type the code there."),
  ],
  homeCode: (code: string) => t("Your code: {code}. It is not used up yet.", { code }),
  homeAnyway: t("Pair here all the same"),
  kept: t("This tablet promised to keep what waits on it."),
  notKept:
    t("The browser did not promise to keep what waits on this tablet when it runs short of room. Put the page on the home screen, do not clear the browser's data, and let the tablet send every day."),
  cannotKeep:
    t("On this address the browser keeps nothing for certain: it is not https. Marks can be made only while there is a connection."),
  paired: (farm: string, access: string) => t("This tablet is paired with {farm}, for a {role}.", { farm, role: access }),
  again: t("Pair it anew"),
  againLead: t("This tablet is no longer paired: its pairing ended, or the manager took it back. What waits on it is kept, and is sent once it is paired again."),
} as const;

export const HOLDER = {
  title: t("Who holds this tablet?"),
  lead: t("Touch your name and type your PIN. Records then say who made them."),
  none: t("Nobody can be chosen yet. The manager adds people of this crew in Set-up, and gives each a PIN under People."),
  noPin: t("no PIN yet"),
  pinOf: (name: string) => t("PIN of {name}", { name }),
  entered: (n: number) => t("{n} of 6 digits", { n }),
  back: t("Take back the last digit"),
  backSign: "⌫",
  otherName: t("Another name"),
  wrong: t("That PIN is not right."),
  locked: t("Try the PIN"),
  again: t("The PIN can be tried again."),
  without: t("Go on without a name"),
  holds: (name: string) => (name === "" ? t("Somebody holds this tablet.") : t("{name} holds this tablet.", { name })),
  change: t("Somebody else takes the tablet"),
  given: t("Nobody holds the tablet now."),
  noNames: t("Nobody holds the tablet now. Names and PINs need a connection: choose yours when there is a signal; until then records say which tablet, not who."),
  goOn: t("To the work"),
} as const;

export const PEOPLE = {
  title: t("People and tablets"),
  people: t("Crews and people"),
  noCrew: t("Without a crew"),
  none: t("Nobody yet."),
  add: t("Add crews and people in Set-up"),
  setPin: t("Set a PIN"),
  pinHint: t("Six digits. Tell it to nobody else; a PIN set before stops working."),
  pin: t("PIN"),
  makePin: t("Make one up"),
  keepPin: t("Set this PIN"),
  leave: t("Leave it"),
  notPin: t("A PIN has six digits."),
  pinSet: (name: string) => t("The PIN of {name} is set.", { name }),
  accounts: t("Accounts"),
  accountsLead: t("Who signs in at a desk or on a phone of their own."),
  accountsNone: t("No account yet."),
  disabled: t("disabled"),
  you: t("you"),
  makeAccount: t("Another account"),
  login: t("Login"),
  name: t("Name"),
  noLogin: t("Choose a login."),
  noName: t("Type the name."),
  role: t("Role"),
  crew: t("Crew"),
  pickCrew: t("A foreman belongs to a crew: choose it."),
  make: t("Make the account"),
  linkFor: (name: string) => t("Link for {name}", { name }),
  linkOnce: (n: number) =>
    t("It works once, for {time}, and is shown only now. Hand it over so that nobody else reads it.", {
      time: n < 120 ? minutes(n) : t("{n} hours", { n: Math.round(n / 60) }),
    }),
  copy: t("Copy the link"),
  copied: t("Copied."),
  notCopied: t("The browser did not let the page copy. Mark the link and copy it by hand."),
  newLink: t("New link"),
  endAccount: t("End the role here"),
  endSure: (name: string) =>
    t("{name} can no longer do anything on this farm, from the next touch on. What was recorded stays.", { name }),
  endYes: (name: string) => t("Yes, end it for {name}", { name }),
  ended: (name: string) => t("{name} has no role here any more.", { name }),
  tablets: t("Tablets"),
  tabletsLead: t("A tablet is paired by a code, with one crew or with the auditors, and needs no password."),
  tabletsNone: t("No tablet is paired yet."),
  tabletName: t("What the tablet is called"),
  tabletNameHint: t("As on its sticker: Hollow's tablet, Tablet 3."),
  noTabletName: t("Give the tablet a name."),
  makeCode: t("Make a pairing code"),
  code: t("Pairing code"),
  codeFor: (name: string) => t("For {name}: type it on the tablet at", { name }),
  orScan: t("or let the tablet's camera read this:"),
  qrAlt: t("Picture with the address and the code, to be read by a camera"),
  codeLeft: (n: number) => (n === 0 ? t("The code has run out: make a new one.") : t("Good for {minutes} more, once.", { minutes: minutes(n) })),
  codeUsed: t("The code was used: the tablet is paired."),
  pairedOn: (moment: string) => t("paired {moment}", { moment }),
  heard: (moment: string) => t("last heard {moment}", { moment }),
  neverHeard: t("not heard yet"),
  revokedOn: (moment: string) => t("taken back {moment}", { moment }),
  heldBy: (name: string) => t("held by {name}", { name }),
  nobodyHolds: t("held by nobody"),
  revoke: t("Take back"),
  revokeSure: (name: string) =>
    t(
      "From its next request on, {name} reads and sends nothing. Records still on it are kept there; when it is paired again, they are sent and come to you as set aside.",
      { name },
    ),
  revokeYes: (name: string) => t("Yes, take {name} back", { name }),
  revoked: (name: string) => t("{name} is taken back.", { name }),
} as const;
