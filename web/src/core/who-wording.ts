/** The sentences of sign-in, first start, pairing, the holder of a tablet, people and tablets. */

import type { Access } from "./contracts";
import { PASSWORD_LEAST, type PasswordFault } from "./who";

const minutes = (n: number): string => (n === 1 ? "1 minute" : `${n} minutes`);

export const ACCESS: Record<Access, string> = { manager: "manager", foreman: "foreman", auditor: "auditor", adviser: "adviser" };
/** What an account of a role is for, in one line. */
export const ACCESS_FOR: Record<Access, string> = {
  manager: "Sees and sets up everything, settles, pairs tablets.",
  foreman: "Marks the rows of one crew.",
  auditor: "Records checks, sees the map.",
  adviser: "Writes the briefs, sees the map and the figures.",
};

export const PASSWORD_FAULT: Record<PasswordFault, string> = {
  short: `Use at least ${PASSWORD_LEAST} characters.`,
  login: "The password must not be the login.",
  one_character: "The password is one character over and over.",
  digits: "Digits alone are too easy to guess: add words.",
  not_the_same: "The two are not the same.",
};

/** Say until when nobody is let in after too many wrong tries; `hour` is the hour here. */
export const lockedUntil = (what: string, seconds: number, hour: string): string =>
  `Too many wrong tries. ${what} again after ${hour}, in ${minutes(Math.max(1, Math.ceil(seconds / 60)))}.`;

/** What the frame says of who is here. */
export const HERE = {
  account: "Your account, and signing out",
  change: "Somebody else takes the tablet",
  tablet: (tablet: string, holder: string | null) => (holder === null || holder === "" ? tablet : `${tablet}: ${holder}`),
} as const;

export const SIGN_IN = {
  title: "Sign in",
  login: "Login",
  password: "Password",
  enter: "Sign in",
  noLogin: "Type your login.",
  noPassword: "Type your password.",
  locked: "Sign in",
  forgotten: "No password yet, or forgotten? The manager of your farm makes a link for you under People; it signs you in once, and lets you set a new password.",
  tablet: "Is this a tablet of a crew? Pair it",
  byLink: "Signing in by your link…",
  linkOver: "This link was used already or has run out. Ask the manager for a new one, or sign in with login and password.",
  linkAgain: "Try the link again",
  signedIn: (name: string, login: string | null) => `You are signed in as ${name}${login === null || login === name ? "" : ` (${login})`}.`,
  roles: "You may work on",
  roleLine: (farm: string, access: string) => `${farm}: ${access}`,
  noFarm: "No farm yet.",
  goOn: "Go on",
  signOut: "Sign out",
  ownPassword: "Your password",
  oldPassword: "Password now",
  newPassword: "New password",
  again: "New password once more",
  rule: `At least ${PASSWORD_LEAST} characters: several words do well. Not your login, not one character over and over, not digits alone.`,
  change: "Change the password",
  changed: "The password is changed.",
} as const;

export const FIRST_START = {
  title: "First start",
  lead: "Nobody has an account here yet. The service wrote a set-up token where it was started; it proves that you run it.",
  token: "Set-up token",
  noToken: "Type the set-up token.",
  tokenTaken: "The token was in the address and is filled in.",
  name: "Your name",
  noName: "Type your name.",
  login: "Login",
  loginHint: "A short word to sign in with; capitals do not matter.",
  noLogin: "Choose a login.",
  password: "Password",
  again: "Password once more",
  make: "Make the first account",
  over: "An account was made here already. Sign in.",
  toSignIn: "To sign-in",
} as const;

export const PAIR = {
  title: "Pair this tablet",
  lead: "The manager makes a code under People. It works once, for ten minutes.",
  code: "Code, 8 letters and digits",
  toSignIn: "Sign in with login and password instead",
  notWhole: "A code has 8 letters and digits.",
  pair: "Pair",
  locked: "Pair",
  codeOver: "This code was used already, has run out, or is none. Ask the manager for a new one.",
  homeTitle: "First put this page on the home screen",
  homeWhy:
    "This tablet empties what a page keeps when it was not opened for seven days, marks not yet sent among it. A page on the home screen is spared, and keeps its own pairing.",
  homeSteps: [
    "Touch the share button of the browser.",
    "Choose “Add to Home Screen”.",
    "Open orchardmap from the home screen.",
    "Type the code there.",
  ],
  homeCode: (code: string) => `Your code: ${code}. It is not used up yet.`,
  homeAnyway: "Pair here all the same",
  kept: "This tablet promised to keep what waits on it.",
  notKept:
    "The browser did not promise to keep what waits on this tablet when it runs short of room. Put the page on the home screen, do not clear the browser's data, and let the tablet send every day.",
  cannotKeep:
    "On this address the browser keeps nothing for certain: it is not https. Marks can be made only while there is a connection.",
  paired: (farm: string, access: string) => `This tablet is paired with ${farm}, for a ${access}.`,
  again: "Pair it anew",
  againLead: "This tablet is no longer paired: its pairing ended, or the manager took it back. What waits on it is kept, and is sent once it is paired again.",
} as const;

export const HOLDER = {
  title: "Who holds this tablet?",
  lead: "Touch your name and type your PIN. Records then say who made them.",
  none: "Nobody can be chosen yet. The manager adds people of this crew in Set-up, and gives each a PIN under People.",
  noPin: "no PIN yet",
  pinOf: (name: string) => `PIN of ${name}`,
  entered: (n: number) => `${n} of 6 digits`,
  digit: (n: string) => n,
  back: "Take back the last digit",
  backSign: "⌫",
  otherName: "Another name",
  wrong: "That PIN is not right.",
  locked: "Try the PIN",
  again: "The PIN can be tried again.",
  without: "Go on without a name",
  holds: (name: string) => (name === "" ? "Somebody holds this tablet." : `${name} holds this tablet.`),
  change: "Somebody else takes the tablet",
  given: "Nobody holds the tablet now.",
  noNames: "Nobody holds the tablet now. Names and PINs need a connection: choose yours when there is a signal; until then records say which tablet, not who.",
  goOn: "To the work",
} as const;

export const PEOPLE = {
  title: "People and tablets",
  people: "Crews and people",
  noCrew: "Without a crew",
  none: "Nobody yet.",
  add: "Add crews and people in Set-up",
  setPin: "Set a PIN",
  pinHint: "Six digits. Tell it to nobody else; a PIN set before stops working.",
  pin: "PIN",
  makePin: "Make one up",
  keepPin: "Set this PIN",
  leave: "Leave it",
  notPin: "A PIN has six digits.",
  pinSet: (name: string) => `The PIN of ${name} is set.`,
  accounts: "Accounts",
  accountsLead: "Who signs in at a desk or on a phone of their own.",
  accountsNone: "No account yet.",
  disabled: "disabled",
  you: "you",
  makeAccount: "Another account",
  login: "Login",
  name: "Name",
  noLogin: "Choose a login.",
  noName: "Type the name.",
  role: "Role",
  crew: "Crew",
  pickCrew: "A foreman belongs to a crew: choose it.",
  make: "Make the account",
  linkFor: (name: string) => `Link for ${name}`,
  linkOnce: (n: number) => `It works once, for ${n < 120 ? minutes(n) : `${Math.round(n / 60)} hours`}, and is shown only now. Hand it over so that nobody else reads it.`,
  copy: "Copy the link",
  copied: "Copied.",
  notCopied: "The browser did not let the page copy. Mark the link and copy it by hand.",
  newLink: "New link",
  endAccount: "End the role here",
  endSure: (name: string) => `${name} can no longer do anything on this farm, from the next touch on. What was recorded stays.`,
  endYes: (name: string) => `Yes, end it for ${name}`,
  ended: (name: string) => `${name} has no role here any more.`,
  tablets: "Tablets",
  tabletsLead: "A tablet is paired by a code, with one crew or with the auditors, and needs no password.",
  tabletsNone: "No tablet is paired yet.",
  tabletName: "What the tablet is called",
  tabletNameHint: "As on its sticker: Hollow's tablet, Tablet 3.",
  noTabletName: "Give the tablet a name.",
  makeCode: "Make a pairing code",
  code: "Pairing code",
  codeFor: (name: string) => `For ${name}: type it on the tablet at`,
  orScan: "or let the tablet's camera read this:",
  qrAlt: "Picture with the address and the code, to be read by a camera",
  codeLeft: (n: number) => (n === 0 ? "The code has run out: make a new one." : `Good for ${minutes(n)} more, once.`),
  codeUsed: "The code was used: the tablet is paired.",
  pairedOn: (moment: string) => `paired ${moment}`,
  heard: (moment: string) => `last heard ${moment}`,
  neverHeard: "not heard yet",
  revokedOn: (moment: string) => `taken back ${moment}`,
  heldBy: (name: string) => `held by ${name}`,
  nobodyHolds: "held by nobody",
  revoke: "Take back",
  revokeSure: (name: string) =>
    `From its next request on, ${name} reads and sends nothing. Records still on it are kept there; when it is paired again, they are sent and come to you as set aside.`,
  revokeYes: (name: string) => `Yes, take ${name} back`,
  revoked: (name: string) => `${name} is taken back.`,
} as const;
