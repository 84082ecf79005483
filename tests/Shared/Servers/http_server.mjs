// An HTTP server of another maker's kind, as a process of its own, that treats its clients as it is told.
// node http_server.mjs PORT [CERTIFICATE KEY]
// POST /script [{...}, ...]: how the next requests are treated, one each; then all are taken.
//   {"status": 500, "body": "words", "retryAfter": 1}  an answer; "location" and "type" are headers of it
//   {"delayMs": 1500}                                  taken, but answered late
//   {"close": true}                                    taken, and hangs up without an answer
//   {"cut": true}                                      hangs up before it has read anything
// POST /refuse "text": from now on a body line that contains it is refused (400), the others of the body are taken.
// POST /secret "header": from now on requests without this Authorization are refused (401).
// GET /got: what was taken, [{headers, body}, ...]; GET /asked: how many requests came.
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { createServer as createSecureServer } from "node:https";
import { gunzipSync } from "node:zlib";

const [port, certificate, key] = process.argv.slice(2);
let script = [];
let refused = null;
let secret = null;
let asked = 0;
const got = [];

const read = async (request) => {
  const chunks = [];
  for await (const chunk of request) chunks.push(chunk);
  const body = Buffer.concat(chunks);
  return (request.headers["content-encoding"] === "gzip" ? gunzipSync(body) : body).toString();
};
const answer = (response, status, body = "", headers = {}) => response.writeHead(status, headers).end(body);

const headersOf = ({ retryAfter, location, type }) =>
  Object.fromEntries(Object.entries({ "retry-after": retryAfter, location, "content-type": type }).filter(([, value]) => value !== undefined));

async function serve(request, response) {
  if (request.url === "/got") return answer(response, 200, JSON.stringify(got));
  if (request.url === "/asked") return answer(response, 200, String(asked));
  if (request.url === "/script") script = JSON.parse(await read(request));
  else if (request.url === "/refuse") refused = await read(request);
  else if (request.url === "/secret") secret = await read(request);
  else return take(request, response);
  return answer(response, 204);
}

async function take(request, response) {
  asked++;
  const how = script.shift() ?? {};
  if (how.cut) return request.socket.destroy();
  const body = await read(request);
  if (secret !== null && request.headers.authorization !== secret) return answer(response, 401, '{"message":"unauthorized access"}');
  if (how.status !== undefined) return answer(response, how.status, how.body, headersOf(how));
  const lines = body.split("\n");
  const taken = refused === null ? lines : lines.filter((line) => !line.includes(refused));
  got.push({ headers: request.headers, body: taken.join("\n") });
  if (how.close) return request.socket.destroy();
  if (how.delayMs !== undefined) await new Promise((resolve) => setTimeout(resolve, how.delayMs));
  return taken.length === lines.length ? answer(response, 204) : answer(response, 400, '{"error":"field type conflict"}');
}

const serving = (request, response) => serve(request, response).catch(() => request.socket.destroy());
const server = certificate === undefined ? createServer(serving) : createSecureServer({ cert: readFileSync(certificate), key: readFileSync(key) }, serving);
server.listen(Number(port), "127.0.0.1");
