// A bad line between phones and the mill: a proxy that passes on, cuts off, drops the answer, delays, doubles and
// holds back for later. What it does to each request is told by `fate`.

import { request as ask, createServer } from 'node:http';
import { connect } from 'node:net';

/** What becomes of a request. @typedef {'through' | 'cut' | 'hang' | 'deaf' | 'twice' | { late: number } | { again: number }} Fate */

/**
 * Opens the line to `url`. `line.fate` is asked for each request (method, path); a form told `{ again: n }` goes through, and
 * a copy of it once more after n further forms: `line.held` are those to come.
 * `line.posts` counts forms that reached the mill.
 */
export async function wire(url) {
  const to = new URL(url);
  const line = { fate: () => 'through', posts: 0, held: [], reordered: 0, url: '', port: Number(to.port), close: () => {} };
  const server = createServer((from, back) => {
    const parts = [];
    from.on('data', (part) => parts.push(part));
    from.on('error', () => {});
    back.on('error', () => {});
    from.on('end', () => pass(line, from, back, Buffer.concat(parts)));
  });
  // A browser that speaks to a proxy that hangs up tries again by itself only for what it may repeat.
  server.keepAliveTimeout = 1;
  await new Promise((resolve) => { server.listen(0, '127.0.0.1', resolve); });
  line.url = `http://127.0.0.1:${server.address().port}`;
  /** Lets every copy that is still held through, in the order they were held. */
  line.flush = async () => { for (const one of line.held.splice(0)) await one.go(); };
  line.close = () => new Promise((resolve) => { server.close(resolve); server.closeAllConnections(); });
  return line;
}

/** Sends one request on; gives status, headers and body, or nothing when the mill is not there. */
function forward(line, from, body) {
  return new Promise((resolve) => {
    const on = ask({ host: '127.0.0.1', port: line.port, method: from.method, path: from.url, headers: { ...from.headers, connection: 'close' } }, (answer) => {
      const parts = [];
      answer.on('data', (part) => parts.push(part));
      answer.on('end', () => resolve({ status: answer.statusCode, headers: answer.headers, body: Buffer.concat(parts) }));
      answer.on('error', () => resolve(null));
    });
    on.on('error', () => resolve(null));
    on.end(body);
  });
}

async function pass(line, from, back, body) {
  const fate = line.fate(from.method, from.url);
  const hang = () => from.socket.destroy();
  if (fate === 'cut') return hang();
  // Swallowed: neither an answer nor an end of the line comes.
  if (fate === 'hang') return undefined;
  if (fate.late) await new Promise((resolve) => { setTimeout(resolve, fate.late); });
  if (from.method === 'POST') line.posts += 1;
  for (const one of line.held.filter((held) => held.due <= line.posts)) {
    line.held.splice(line.held.indexOf(one), 1);
    line.reordered += 1;
    await one.go();
  }
  if (fate.again && from.method === 'POST') line.held.push({ due: line.posts + fate.again, go: () => forward(line, from, body) });
  const first = forward(line, from, body);
  // The copy is on its way while the phone has its answer already: it arrives after what comes next.
  if (fate === 'twice') {
    if (from.method === 'POST') line.posts += 1;
    setTimeout(() => forward(line, from, body), 30);
  }
  const answer = await first;
  if (!answer || fate === 'deaf') return hang();
  back.writeHead(answer.status, { ...answer.headers, connection: 'close' });
  back.end(answer.body);
  return undefined;
}

/** Whether anybody listens at a port. */
export function listens(port) {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1', () => { socket.destroy(); resolve(true); });
    socket.on('error', () => resolve(false));
  });
}
