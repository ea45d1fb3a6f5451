import { randomUUID } from "node:crypto";
import { type Request, type Response, Router } from "express";
import type { Subscription } from "../../ingest/index.ts";
import { askerMayForAll } from "../access/person.ts";
import { HttpError } from "../errors.ts";
import type { IntakeDesk } from "../intake/desk.ts";
import { newSecret } from "../notices/send-webhook.ts";
import {
  askerOf,
  choiceFault,
  faultOf,
  isOwn,
  NOTHING_TYPED,
  type NoticeFault,
  type NoticeTyped,
  noticesPage,
  subscriptionOf,
  typedOf,
} from "../page-models/notices.ts";
import { renderNoticeChoice, renderNotices, renderSecret } from "../pages/notices.ts";
import { fieldOf, smallForm, ticksOf } from "./form-fields.ts";

/** `/notices`: what one is told of, and how. */
export function noticesRoutes({ store, now }: Pick<IntakeDesk, "store" | "now">): Router {
  const { notices } = store;
  const router = Router();
  router.use("/notices", (_request, response, next) => {
    response.set("Cache-Control", "no-store");
    next();
  });

  const send = async (response: Response, typed: NoticeTyped, refusal: NoticeFault | null) => {
    const page = await noticesPage(store, typed, refusal);
    response
      .status(refusal === null ? 200 : 422)
      .type("html")
      .send(renderNotices(page));
  };

  router.get("/notices", (_request, response) => send(response, NOTHING_TYPED, null));

  router.post("/notices", smallForm, async (request, response) => {
    const [typed, asker] = [typedIn(request), await askerOf(store)];
    const fault = faultOf(typed, asker);
    if (fault !== null) {
      await send(response, typed, fault);
      return;
    }
    const secret = typed.way === "webhook" ? newSecret() : null;
    await notices.subscribe(subscriptionOf(typed, asker, secret, now()));
    if (secret === null) response.redirect(303, "/notices");
    else response.type("html").send(renderSecret(secret));
  });

  router.get("/notices/:number", async (request, response) => {
    const subscription = await asked(request, "own");
    const { sites } = await askerOf(store);
    response.type("html").send(renderNoticeChoice(subscription, typedOf(subscription), sites, null));
  });

  router.post("/notices/:number", smallForm, async (request, response) => {
    const subscription = await asked(request, "own");
    const [typed, { sites: seen }] = [typedIn(request), await askerOf(store)];
    const fault = choiceFault(typed, seen);
    if (fault !== null) {
      response
        .status(422)
        .type("html")
        .send(renderNoticeChoice(subscription, typed, seen, fault));
      return;
    }
    const { sites, atOnce, digest, timeZone } = typed;
    await notices.changeChoice(subscription.id, { sites, atOnce, digest, timeZone }, now());
    response.redirect(303, "/notices");
  });

  router.post("/notices/:number/end", async (request, response) => {
    const { id } = await asked(request, "any");
    await notices.unsubscribe(id, now());
    response.redirect(303, "/notices");
  });

  router.post("/notices/:number/trial", async (request, response) => {
    const { id } = await asked(request, "own");
    const messageId = randomUUID();
    await notices.enqueue([
      {
        ...{ subscriptionId: id, eventKey: `trial ${messageId}`, kind: "trial", messageId },
        ...{ content: JSON.stringify({ kind: "trial" }), aboutSites: [], madeAtMs: now() },
      },
    ]);
    response.redirect(303, "/notices");
  });

  router.post("/notices/unsent/:number/again", async (request, response) => {
    await notices.tryAgain(numberIn(request), now());
    response.redirect(303, "/notices");
  });

  /** The way that an address names: one's own, or for those who administer anybody's. */
  async function asked(request: Request, whose: "own" | "any"): Promise<Subscription> {
    const found = await notices.subscription(numberIn(request));
    const isTheirs = found !== null && isOwn(found, await askerOf(store));
    const isAllowed = isTheirs || (whose === "any" && askerMayForAll("administer"));
    if (found !== null && found.endedAtMs === null && isAllowed) return found;
    throw new HttpError(404, "You are not told in such a way.", "The page of notices lists yours.");
  }
  return router;
}

function numberIn(request: Request): number {
  const number = String(request.params.number);
  return /^\d{1,15}$/.test(number) ? Number(number) : 0;
}

function typedIn(request: Request): NoticeTyped {
  const [weekday, hour] = [fieldOf(request, "weekday"), fieldOf(request, "hour")];
  return {
    way: fieldOf(request, "way"),
    name: fieldOf(request, "name").trim(),
    address: fieldOf(request, "address").trim(),
    sites: ticksOf(request, "all").length > 0 ? null : ticksOf(request, "site"),
    atOnce: fieldOf(request, "at-once") === "yes",
    digest: fieldOf(request, "digest") === "yes" ? { weekday: Number(weekday), hour: Number(hour) } : null,
    weekday,
    hour,
    timeZone: fieldOf(request, "time-zone").trim(),
  };
}
