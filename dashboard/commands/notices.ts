import { randomUUID } from "node:crypto";
import { Command } from "commander";
import type { Delivery, Store, Subscription } from "../../ingest/index.ts";
import { createAssessment } from "../assessment/assessment.ts";
import { isoOfDay } from "../assessment/days.ts";
import { isEmailAddress } from "../notices/addresses.ts";
import type { NoticeContent } from "../notices/content.ts";
import { noticing } from "../notices/keep-noticing.ts";
import { type NoticeSettings, readNoticeSettings } from "../notices/notice-settings.ts";
import { SendTrouble } from "../notices/outgoing.ts";
import { mailSender } from "../notices/send-mail.ts";
import { minuteOf } from "../page-models/trail.ts";
import { noticeText } from "../wording/notices.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { addJsonOption, addStoreOption, type JsonOption, type StoreOption, withStore } from "./options.ts";
import { textTable } from "./text-table.ts";

interface NoticesOptions extends StoreOption, JsonOption {
  readonly send?: true;
  readonly test?: string;
}

const MOST_LISTED = 50;

/** `springtide notices`: what waits to be sent, was sent and failed; sends by hand, or a trial. */
export function noticesCommand(context: CommandContext): Command {
  const command = new Command("notices")
    .description(
      "what people were told of, what waits and what failed; a server and workers send by themselves",
    )
    .option("--send", "look at the fleet as of today and send what is due, once")
    .option("--test <ADDRESS>", "send a trial mail to an address, to see whether notices arrive")
    .action(async (options: NoticesOptions) => {
      if (options.send && options.test !== undefined) throw new UsageError("say either --send or --test");
      const settings = readNoticeSettings(context.env);
      if (options.test !== undefined) {
        await sendTrial(context, settings, options.test, options.json === true);
        return;
      }
      await withStore(context, options, "existing", (store) =>
        options.send ? send(context, store, settings, options) : list(context, store, options),
      );
    });
  return addJsonOption(addStoreOption(command));
}

async function sendTrial(
  context: CommandContext,
  { mail, publicAddress }: NoticeSettings,
  address: string,
  asJson: boolean,
): Promise<void> {
  if (!isEmailAddress(address)) throw new UsageError(`--test takes an e-mail address, got "${address}"`);
  if (mail === null) throw new CommandError("no mail server is named: say SPRINGTIDE_SMTP=smtp://… first");
  const message = { messageId: randomUUID(), name: "", address, secret: null };
  try {
    await mailSender(mail, publicAddress)({ ...message, content: { kind: "trial" } });
  } catch (error) {
    if (!(error instanceof SendTrouble)) throw error;
    throw new CommandError(`the trial was not sent: ${error.message}`);
  }
  context.print(asJson ? `${JSON.stringify({ sent: 1 })}\n` : `The mail server took it for ${address}.\n`);
}

async function send(
  context: CommandContext,
  store: Store,
  settings: NoticeSettings,
  { json }: JsonOption,
): Promise<void> {
  const { now, say } = context;
  const assessment = createAssessment({ store, asOf: () => isoOfDay(now() / 86_400_000) });
  const counts = await noticing({ store, assessment, settings, now, say })();
  context.print(
    json
      ? `${JSON.stringify(counts)}\n`
      : `${counts.sent} sent, ${counts.waiting} to be tried again, ${counts.failed} failed, ${counts.dropped} no longer asked for.\n`,
  );
  if (counts.failed > 0) context.exitCode = 1;
}

async function list(context: CommandContext, { notices }: Store, { json }: JsonOption): Promise<void> {
  const [deliveries, subscriptions] = await Promise.all([
    notices.deliveries({ limit: MOST_LISTED }),
    notices.subscriptions(),
  ]);
  const byId = new Map(subscriptions.map((one) => [one.id, one]));
  if (json) {
    context.print(`${JSON.stringify({ notices: deliveries.map((one) => report(one, byId)) })}\n`);
    return;
  }
  if (deliveries.length === 0) {
    context.print(
      `Nothing was sent and nothing waits; ${subscriptions.length} ways of being told are chosen.\n`,
    );
    return;
  }
  const rows = deliveries.map((one) => {
    const { way, name } = byId.get(one.subscriptionId) ?? { way: "", name: "no longer" };
    return [
      String(one.id),
      minuteOf(one.madeAtMs),
      one.state,
      name,
      way,
      noticeText(JSON.parse(one.content) as NoticeContent).subject,
      one.trouble ?? "",
    ];
  });
  context.print(textTable(["no.", "made", "state", "to", "by", "what", "trouble"], rows));
}

function report(delivery: Delivery, subscriptions: ReadonlyMap<number, Subscription>) {
  const { id, subscriptionId, kind, state, tries, madeAtMs, dueAtMs, settledAtMs, trouble } = delivery;
  const { way, name } = subscriptions.get(subscriptionId) ?? { way: null, name: null };
  return {
    id,
    to: name,
    way,
    kind,
    state,
    tries,
    made_at_ms: madeAtMs,
    due_at_ms: state === "waiting" ? dueAtMs : null,
    settled_at_ms: settledAtMs,
    trouble,
  };
}
