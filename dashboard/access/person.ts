import { AsyncLocalStorage } from "node:async_hooks";
import { numberForm } from "../wording/number-form.ts";
import { type Action, mayDo, type Role } from "./roles.ts";

/** Who is asking. */
export interface Person {
  /** As it stands in notes, decisions and the trail; null: not signed in, the form asks for the name. */
  readonly name: string | null;
  readonly role: Role;
  /** The sites that the person sees; null: all of them. */
  readonly sites: readonly string[] | null;
}

/** Whoever works on the machine itself, where the server asks nobody to sign in. */
export const AT_THIS_MACHINE: Person = { name: null, role: "administrator", sites: null };

const asking = new AsyncLocalStorage<Person>();

/** Answers a request in somebody's name: all that is begun in it knows who asks. */
export function asPerson<T>(person: Person, work: () => T): T {
  return asking.run(person, work);
}

/** Who asks; outside of a request it is whoever started the program. */
export function whoAsks(): Person {
  return asking.getStore() ?? AT_THIS_MACHINE;
}

/** Whether what belongs to a site may be seen; what belongs to none is seen by those who see all sites. */
export function seesSite({ sites }: Person, site: string | null): boolean {
  return sites === null || (site !== null && sites.includes(site));
}

/** Stands for what whoever asks sees, and how: part of the key of everything that is kept as it was made for them. */
export function scopeKey(): string {
  const { sites } = whoAsks();
  return `${sites === null ? "all" : JSON.stringify([...sites].sort())} ${numberForm().name}`;
}

/** Whether whoever asks may do something: pages show the ways to it only then. */
export function askerMay(action: Action): boolean {
  return mayDo(whoAsks().role, action);
}

/** Whether whoever asks may do something that concerns all sites at once. */
export function askerMayForAll(action: Action): boolean {
  return whoAsks().sites === null && askerMay(action);
}

/** In whose name a decision is kept: of the person who is signed in, else as the form says. */
export function signedAs(typed: string): string {
  return whoAsks().name ?? typed;
}
