// `swingtie serve` on a folder of its own that goes away with the test, and calls to its API.

import {spawn, spawnSync} from 'node:child_process';
import {mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {dirname, join} from 'node:path';
import {fileURLToPath} from 'node:url';

const program = process.env.SWINGTIE ?? 'swingtie';

export const source = process.env.SWINGTIE_SOURCE_DIR ?? join(fileURLToPath(import.meta.url), '../../../..');

/** The text of a sample's job. */
export const sample = name => readFileSync(join(source, 'samples', name, 'job.yaml'), 'utf8');

/** Runs the program to its end. @return {{code: number, out: Buffer, said: string}} */
export function swingtie(...args) {
  const {status, stdout, stderr} = spawnSync(program, args, {maxBuffer: 1 << 28});
  return {code: status, out: stdout, said: String(stderr)};
}

/** Tries until it holds, or for so long that it never will: what one waits for in another process has no bell. */
export async function eventually(check, seconds = 20) {
  for (const end = Date.now() + seconds * 1000; Date.now() < end; ) {
    try {
      return await check();
    } catch {
      await new Promise(done => setTimeout(done, 100));
    }
  }
  return check();
}

/** A folder of jobs with a server on it that can be killed and started again at the same address. */
export class Served {
  /** @param {Record<string, string>} files  what lies in the folder at first */
  static async begin(files = {}) {
    const served = new Served();
    served.folder = mkdtempSync(join(tmpdir(), 'swingtie-page-'));
    // What the program keeps of its own goes with the folder.
    served.state = join(served.folder, '.state');
    for (const [name, text] of Object.entries(files)) served.put(name, text);
    await served.start(0);
    return served;
  }

  path(name) {
    return join(this.folder, name);
  }

  put(name, text) {
    mkdirSync(dirname(this.path(name)), {recursive: true});
    writeFileSync(this.path(name), text);
  }

  text(name) {
    return readFileSync(this.path(name), 'utf8');
  }

  async start(port = this.port, more = []) {
    this.process = spawn(program, ['serve', this.folder, '--port', String(port), ...more], {
      env: {...process.env, XDG_STATE_HOME: this.state},
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    this.said = '';
    this.process.stderr.on('data', bytes => (this.said += bytes));
    this.url = await new Promise((done, fail) => {
      let out = '';
      this.process.stdout.on('data', bytes => {
        out += bytes;
        if (out.includes('\n')) done(out.trim());
      });
      this.process.on('exit', code => fail(new Error(`swingtie serve ended with ${code}: ${this.said}`)));
    });
    const at = new URL(this.url);
    this.origin = at.origin;
    this.port = Number(at.port);
    this.key = at.hash.slice('#key='.length);
  }

  /** At once and without a goodbye, as when the machine loses power. */
  async kill() {
    const gone = new Promise(done => this.process.on('exit', done));
    this.process.kill('SIGKILL');
    await gone;
  }

  async end() {
    if (this.process.exitCode === null && this.process.signalCode === null) await this.kill();
    rmSync(this.folder, {recursive: true, force: true});
  }

  /** One call with the key. @return {Promise<Response>} */
  call(method, path, body, headers = {}) {
    const init = {method, headers: {'X-Swingtie-Token': this.key, ...headers}};
    if (body !== undefined) init.body = typeof body === 'object' && !(body instanceof Uint8Array) ? JSON.stringify(body) : body;
    return fetch(this.origin + path, init);
  }
}
