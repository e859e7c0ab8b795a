/** The sentences of the list that one picks a block from. */

export const PICKER = {
  take: "Take it along",
  takeLabel: (code: string) => `Take it along: ${code}`,
  taking: (code: string) => `Fetching ${code}: rows, marks and checks…`,
  taken: (moment: string) => `On this device, as of ${moment}. It opens without a signal.`,
  notTaken: (code: string, why: string) => `${code} could not be fetched. ${why}`,
} as const;
