import { Command, Option } from "commander";
import type { Account, AccountChange, Accounts, Store } from "../../ingest/index.ts";
import { ROLES, type Role } from "../access/roles.ts";
import { addPerson, changePerson, type FirstPassword, resetPassword } from "../accounts/people.ts";
import { oneTimeText, SHOWN_ONCE, sitesText } from "../wording/accounts.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { addJsonOption, addStoreOption, type JsonOption, type StoreOption, withStore } from "./options.ts";
import { textTable } from "./text-table.ts";

type Options = StoreOption & JsonOption;

interface ChangeOptions extends Options {
  readonly role?: Role;
  readonly email?: string;
  readonly site?: readonly string[];
  readonly allSites?: true;
}

interface AddOptions extends ChangeOptions {
  readonly role: Role;
  readonly passwordStdin?: true;
  readonly companyOnly?: true;
}

/** `springtide people`: who may sign in, and what each of them may do. */
export function peopleCommand(context: CommandContext): Command {
  const command = new Command("people").description(
    "who may sign in to a server, and what each of them may do and see",
  );
  const named = (form: string) => addJsonOption(addStoreOption(command.command(form))).argument("<name>");
  const role = (about: string) => new Option("--role <ROLE>", about).choices(ROLES);

  addJsonOption(addStoreOption(command.command("list", { isDefault: true })))
    .description("everybody, with role and sites")
    .action((options: Options) => list(context, options));

  addPlaces(named("add"))
    .description("add a person, with a one-time password that is printed this once")
    .addOption(role("what the person may do").makeOptionMandatory())
    .option("--password-stdin", "read a password of the person's own from standard input instead: one line")
    .option("--company-only", "no password: the person comes in by the company's sign-in alone")
    .action((name: string, options: AddOptions) => add(context, name, options));

  addPlaces(named("change"))
    .description("change what a person may do and see, or the e-mail address")
    .addOption(role("what the person may do from now on"))
    .action((name: string, options: ChangeOptions) => change(context, name, options, changeMeant(options)));

  named("reset")
    .description("a new one-time password, printed this once; ends the person's sessions, lifts a lock")
    .action((name: string, options: Options) => reset(context, name, options));

  named("disable")
    .description("let a person in no longer; sessions and tokens end at once, what was done stays on record")
    .action((name: string, options: Options) =>
      change(context, name, options, { disabledAtMs: context.now() }),
    );

  named("enable")
    .description("let a person in again who was disabled")
    .action((name: string, options: Options) => change(context, name, options, { disabledAtMs: null }));
  return command;
}

function addPlaces(command: Command): Command {
  return command
    .option("--site <NAME...>", "the sites that the person sees")
    .option("--all-sites", "the person sees all sites, also those to come")
    .option("--email <ADDRESS>", "for notices, and by which the company's sign-in is matched at first");
}

async function list(context: CommandContext, options: Options): Promise<void> {
  const people = await withStore(context, options, "existing", ({ accounts }) => accounts.list());
  if (options.json) {
    context.print(`${JSON.stringify({ people: people.map(reportOf) })}\n`);
    return;
  }
  if (people.length === 0) {
    context.print("Nobody may sign in yet: springtide people add NAME adds somebody.\n");
    return;
  }
  context.print(
    textTable(
      ["name", "role", "sites", "e-mail", "signs in"],
      people.map((one) => [
        one.name,
        one.role,
        sitesText(one.sites),
        one.email ?? "",
        one.disabledAtMs === null ? "yes" : "no longer",
      ]),
    ),
  );
}

async function add(context: CommandContext, name: string, options: AddOptions): Promise<void> {
  const sites = sitesMeant(options);
  if (sites === undefined)
    throw new UsageError("say which sites the person sees: --site NAME, or --all-sites");
  const { role, email = null } = options;
  const first = await firstMeant(context, options);
  const { oneTime, unknown } = await withStore(context, options, "create", async (store) => ({
    unknown: await unknownSites(store, sites),
    ...(await addPerson(store.accounts, { name, email, role, sites }, first, context.now())),
  }));
  for (const site of unknown) context.say(`springtide: no unit is registered at ${site} yet`);
  tell(context, options, name, oneTime, `${name} is added: ${role}, ${sitesText(sites)}.`);
}

async function change(
  context: CommandContext,
  name: string,
  options: Options,
  wish: AccountChange,
): Promise<void> {
  const changed = await withStore(context, options, "existing", async ({ accounts }) => {
    const account = await accountMeant(accounts, name);
    await changePerson(accounts, account, wish);
    return accountMeant(accounts, name);
  });
  context.print(
    options.json
      ? `${JSON.stringify(reportOf(changed))}\n`
      : `${changed.name}: ${changed.role}, ${sitesText(changed.sites)}${changed.disabledAtMs === null ? "" : ", may no longer sign in"}.\n`,
  );
}

async function reset(context: CommandContext, name: string, options: Options): Promise<void> {
  const done = await withStore(context, options, "existing", async ({ accounts }) => {
    const account = await accountMeant(accounts, name);
    return { account, oneTime: await resetPassword(accounts, account, context.now()) };
  });
  tell(context, options, done.account.name, done.oneTime, `${done.account.name} is signed out everywhere.`);
}

function tell(
  context: CommandContext,
  { json }: Options,
  name: string,
  oneTime: string | null,
  done: string,
): void {
  if (json) context.print(`${JSON.stringify({ name, one_time_password: oneTime })}\n`);
  else if (oneTime === null) context.print(`${done}\n`);
  else context.print(`${done}\n\n    ${oneTime}\n\n${oneTimeText(name)} ${SHOWN_ONCE}\n`);
}

function changeMeant(options: ChangeOptions): AccountChange {
  const { role, email } = options;
  const sites = sitesMeant(options);
  if (role === undefined && email === undefined && sites === undefined) {
    throw new UsageError("say what is to change: --role, --site or --all-sites, --email");
  }
  return {
    ...(role !== undefined && { role }),
    ...(email !== undefined && { email: email === "" ? null : email }),
    ...(sites !== undefined && { sites }),
  };
}

/** undefined where the call says nothing of sites. */
function sitesMeant({ site, allSites }: ChangeOptions): readonly string[] | null | undefined {
  if (site !== undefined && allSites) throw new UsageError("say either --site or --all-sites");
  return allSites ? null : site;
}

async function firstMeant(context: CommandContext, options: AddOptions): Promise<FirstPassword> {
  if (options.passwordStdin && options.companyOnly) {
    throw new UsageError("say either --password-stdin or --company-only");
  }
  if (options.companyOnly) return { kind: "company" };
  if (!options.passwordStdin) return { kind: "one-time" };
  const [password = ""] = (await context.readInput()).split(/\r?\n/);
  return { kind: "given", password };
}

/** A misspelt site shows nothing: worth a word, but a server may be given its people before its first file. */
async function unknownSites(store: Store, sites: readonly string[] | null): Promise<string[]> {
  const known = new Set((await store.instruments()).map(({ site }) => site));
  return (sites ?? []).filter((site) => !known.has(site));
}

async function accountMeant(accounts: Accounts, name: string): Promise<Account> {
  const account = await accounts.findByName(name);
  if (account !== null) return account;
  throw new CommandError(`there is nobody called ${name}: springtide people lists them`);
}

function reportOf({ name, email, role, sites, disabledAtMs, madeAtMs }: Account) {
  return { name, email, role, sites, disabled_at_ms: disabledAtMs, made_at_ms: madeAtMs };
}
