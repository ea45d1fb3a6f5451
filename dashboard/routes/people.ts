import { type Request, type Response, Router } from "express";
import { type Account, type AccountChange, IngestError } from "../../ingest/index.ts";
import type { FrontDoor } from "../accounts/front-door.ts";
import { addPerson, changePerson, resetPassword } from "../accounts/people.ts";
import { isRole } from "../accounts/roles.ts";
import { CommandError } from "../commands/errors.ts";
import { HttpError } from "../errors.ts";
import { type PersonTyped, renderOneTime, renderPeople, renderPerson } from "../pages/people.ts";
import { fieldOf, smallForm, ticksOf } from "./form-fields.ts";
import { revoke } from "./tokens.ts";

const NOBODY: PersonTyped = { name: "", email: "", role: "reader", sites: [] };

/** `/people`: who may sign in, and what each of them may do. */
export function peopleRoutes(door: FrontDoor): Router {
  const router = Router();
  const { accounts, now } = door;
  router.use("/people", (_request, response, next) => {
    response.set("Cache-Control", "no-store");
    next();
  });

  const sendPeople = async (response: Response, typed: PersonTyped, refusal: string | null) => {
    const [people, sites] = await Promise.all([accounts.list(), door.sites()]);
    response.type("html").send(renderPeople({ people, sites, typed, refusal }));
  };

  router.get("/people", (_request, response) => sendPeople(response, NOBODY, null));

  router.post("/people", smallForm, async (request, response) => {
    const { role, email, sites } = typedOf(request);
    const name = fieldOf(request, "name").trim();
    const refusal = await refusalOf(async () => {
      const person = { name, email, role: roleMeant(role), sites: sitesMeant(sites) };
      const { id, oneTime } = await addPerson(accounts, person, { kind: "one-time" }, now());
      response.type("html").send(renderOneTime({ id, name }, oneTime!));
    });
    if (refusal === null) return;
    response.status(422);
    await sendPeople(response, { name, email: email ?? "", role, sites }, refusal);
  });

  router.get("/people/:number", async (request, response) => {
    await sendPerson(response, await accountAsked(request), null);
  });

  router.post("/people/:number", smallForm, async (request, response) => {
    const { role, email, sites } = typedOf(request);
    await change(request, response, () => ({ role: roleMeant(role), email, sites: sitesMeant(sites) }));
  });

  router.post("/people/:number/disable", (request, response) =>
    change(request, response, () => ({ disabledAtMs: now() })),
  );

  router.post("/people/:number/enable", (request, response) =>
    change(request, response, () => ({ disabledAtMs: null })),
  );

  router.post("/people/:number/reset", async (request, response) => {
    const account = await accountAsked(request);
    response.type("html").send(renderOneTime(account, await resetPassword(accounts, account, now())));
  });

  router.post("/people/:number/tokens/:token/revoke", async (request, response) => {
    const account = await accountAsked(request);
    await revoke(door, account, String(request.params.token));
    response.redirect(303, `/people/${account.id}`);
  });

  async function change(request: Request, response: Response, wish: () => AccountChange): Promise<void> {
    const account = await accountAsked(request);
    const refusal = await refusalOf(async () => {
      await changePerson(accounts, account, wish());
      response.redirect(303, `/people/${account.id}`);
    });
    if (refusal === null) return;
    response.status(422);
    await sendPerson(response, account, refusal);
  }

  async function sendPerson(response: Response, account: Account, refusal: string | null): Promise<void> {
    const [tokens, sites] = await Promise.all([accounts.tokensOf(account.id), door.sites()]);
    response.type("html").send(renderPerson({ account, tokens, nowMs: now(), sites, refusal }));
  }

  async function accountAsked(request: Request): Promise<Account> {
    const number = String(request.params.number);
    const account = /^\d{1,15}$/.test(number) ? await accounts.find(Number(number)) : null;
    if (account !== null) return account;
    throw new HttpError(404, "There is no such person.", "The page of the people lists all.");
  }
  return router;
}

/** Does what was asked. @returns What stands against it, for the form; null where nothing does. */
async function refusalOf(work: () => Promise<void>): Promise<string | null> {
  try {
    await work();
    return null;
  } catch (error) {
    const isRefusal =
      error instanceof CommandError || (error instanceof IngestError && error.code === "name-taken");
    if (!isRefusal) throw error;
    return error.message;
  }
}

function typedOf(request: Request) {
  return {
    role: fieldOf(request, "role"),
    email: fieldOf(request, "email").trim() || null,
    sites: ticksOf(request, "all").length > 0 ? null : ticksOf(request, "site"),
  };
}

function roleMeant(role: string) {
  if (isRole(role)) return role;
  throw new CommandError("Choose a role.");
}

function sitesMeant(sites: readonly string[] | null): readonly string[] | null {
  if (sites === null || sites.length > 0) return sites;
  throw new CommandError("Choose the sites that the person sees.");
}
