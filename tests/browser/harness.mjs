// A daemon with a garden file of its own, and a phone that looks at it.
//
//   TIDEMARK_BUILDDIR  where build/tidemarkd and site/ lie; npm's modules are below it
//   TIDEMARK_PORT      first port to take, 18400 when not told
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';

const build = process.env.TIDEMARK_BUILDDIR ?? path.resolve(import.meta.dirname, '../../build');
const { chromium } = createRequire(path.join(build, 'tests/browser/package.json'))('playwright-core');

export const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2, locale: 'en-GB', timezoneId: 'Europe/Lisbon' };

/** args: further options of the browser. */
export const launch = (args = []) => chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', headless: true,
  args: ['--no-sandbox', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--no-first-run', ...args],
});

const isFree = (port) => new Promise((resolve) => {
  const probe = createServer().once('error', () => resolve(false)).listen(port, '127.0.0.1', () => probe.close(() => resolve(true)));
});

let next = Number(process.env.TIDEMARK_PORT ?? 18400);
async function freePort() {
  while (!(await isFree(next))) next++;
  return next++;
}

/** Starts a daemon; options as on its command line, `--garden` in a folder that stop() removes unless --demo is among them. */
export async function startDaemon(options = []) {
  const port = await freePort();
  const folder = mkdtempSync(path.join(tmpdir(), 'tidemark-pages-'));
  const daemon = { base: `http://127.0.0.1:${port}`, said: '', process: null };
  const garden = options.includes('--demo') ? [] : ['--garden', path.join(folder, 'test.garden')];

  daemon.start = () => new Promise((resolve, reject) => {
    const child = spawn(path.join(build, 'tidemarkd'), [...garden, ...options, '--listen', `127.0.0.1:${port}`, '--www', path.join(build, 'site')], { stdio: ['ignore', 'pipe', 'pipe'] });
    const hear = (chunk) => {
      daemon.said += chunk;
      if (/listening at/.test(daemon.said)) resolve();
    };
    child.stderr.on('data', hear);
    child.stdout.on('data', hear);
    child.once('exit', (code) => reject(new Error(`tidemarkd ended with ${code}:\n${daemon.said}`)));
    daemon.process = child;
  });
  daemon.halt = () => new Promise((resolve) => {
    if (daemon.process.exitCode !== null) return resolve();
    daemon.process.once('exit', resolve);
    daemon.process.kill('SIGTERM');
  });
  daemon.stop = async () => {
    await daemon.halt();
    rmSync(folder, { recursive: true, force: true });
  };
  await daemon.start();
  return daemon;
}

/** The one-time link that the daemon printed when it made its garden. */
export async function firstLink(daemon) {
  for (let turn = 0; turn < 50; turn++) {
    const found = /(https?:\/\/\S+\/pair\.html#\S+)/.exec(daemon.said);
    if (found) return `${daemon.base}/${found[1].split('/').slice(3).join('/')}`; // the name in the link may be another
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new Error(`no link in what the daemon said:\n${daemon.said}`);
}

/** A page that fails its test when it logs an error or asks another host. `quiet` holds texts that are expected. */
export async function openPhone(browser, daemon, options = {}) {
  const context = await browser.newContext({ ...PHONE, serviceWorkers: 'block', ...options });
  const page = await context.newPage();
  page.setDefaultTimeout(10000);
  page.complaints = [];
  page.on('pageerror', (error) => page.complaints.push(error.stack));
  page.on('console', (message) => ['error', 'warning'].includes(message.type()) && !/blocked by Playwright/.test(message.text()) && page.complaints.push(message.text()));
  page.on('request', (request) => new URL(request.url()).origin !== daemon.base && !/^(data|blob):/.test(request.url()) && page.complaints.push(`asked ${request.url()}`));
  return page;
}

/** Asks the daemon as the page's own device. */
export const ask = (page, address, method = 'GET', body = undefined) => page.evaluate(async ([path_, method_, body_]) => {
  const response = await fetch(`/api/v1/${path_}`, { method: method_, ...(body_ === undefined ? {} : { headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body_) }) });
  return { status: response.status, body: await response.json().catch(() => null) };
}, [address, method, body]);
