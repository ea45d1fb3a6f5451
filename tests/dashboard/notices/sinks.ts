import { createServer, type IncomingHttpHeaders, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { text } from "node:stream/consumers";
import { SMTPServer } from "smtp-server";
import { onTestFinished } from "vitest";

/** One mail as it arrived: to whom its envelope was, and all of its lines. */
export interface TakenMail {
  readonly to: readonly string[];
  readonly raw: string;
}

/** A mail server on this machine that keeps what it takes. `refuse`: the code with which it takes nothing. */
export async function mailSink(port = 0) {
  const mails: TakenMail[] = [];
  const state: { refuse: number | null; stop(): Promise<void> } = { refuse: null, stop: async () => {} };
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ["STARTTLS"],
    logger: false,
    onData: async (stream, session, done) => {
      const raw = await text(stream);
      if (state.refuse !== null) {
        done(Object.assign(new Error("not for ada@lab.example"), { responseCode: state.refuse }));
        return;
      }
      mails.push({ to: session.envelope.rcptTo.map(({ address }) => address), raw });
      done();
    },
  });
  server.on("error", () => undefined);
  await new Promise<void>((resolve) => server.listen(port, "127.0.0.1", resolve));
  state.stop = () => new Promise<void>((resolve) => server.close(() => resolve()));
  onTestFinished(() => state.stop());
  const taken = (server.server.address() as AddressInfo).port;
  return { mails, state, port: taken, url: `smtp://127.0.0.1:${taken}` };
}

export interface TakenCall {
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

/** A web address on this machine that keeps what is posted to it, and answers as it is told. */
export async function webSink(answer: (response: ServerResponse, calls: number) => void = ok) {
  const calls: TakenCall[] = [];
  const server = createServer(async (request, response) => {
    calls.push({ headers: request.headers, body: await text(request) });
    answer(response, calls.length);
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  return { calls, url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/hook` };
}

function ok(response: ServerResponse): void {
  response.writeHead(204).end();
}
