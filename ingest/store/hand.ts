import { AsyncLocalStorage } from "node:async_hooks";
import { userInfo } from "node:os";

/** By whose hand a store is changed, and in what way the change came. */
export interface Hand {
  readonly who: string;
  readonly way: "command" | "page" | "api";
}

const hands = new AsyncLocalStorage<Hand>();

/** Does work in somebody's name: all that it changes in a store is trailed as theirs. */
export function byHand<T>(hand: Hand, work: () => T): T {
  return hands.run(hand, work);
}

/** Whoever was named around the work, else the account that runs the command. */
export function handAtWork(): Hand {
  return hands.getStore() ?? { who: accountName(), way: "command" };
}

function accountName(): string {
  try {
    return userInfo().username;
  } catch {
    // An account without a name, as containers have it.
    return "unknown account";
  }
}
