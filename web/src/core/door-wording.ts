/** The sentences of the screens before one is let in. */

export const DOOR = {
  signIn: "Sign in",
  login: "Login",
  password: "Password",
  enter: "Sign in",
  firstStart: "First start",
  firstStartLead: "Nobody has an account here yet. The service printed a set-up token when it started.",
  token: "Set-up token",
  name: "Your name",
  make: "Make the account",
  passwordHint: "At least 12 characters.",
  pair: "Pair this tablet",
  pairLead: "The manager makes a code under People. It works once, for ten minutes.",
  code: "Code",
  pairIt: "Pair",
  people: "People",
  peopleNone: "Nobody yet. Add people in Set-up.",
  settling: "To settle",
  settlingNone: "Nothing waits to be settled: no overlap, nothing set aside.",
  settlingOpen: (overlaps: number, aside: number) => `Overlaps: ${overlaps}. Set aside: ${aside}.`,
} as const;
