#!/usr/bin/python3 -B
"""Memory of open pages: each holds a connection and asks for Today with the tag of its last answer, as www/page.js does
every few seconds. Ten pages an address, on loopback. Budget: 64 MB with 50 open pages (tests of 10,000 tanks are elsewhere)."""
import http.client
import os
import sys
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', 'faults'))
from daemon import Daemon  # noqa: E402


def resident_mb(pid):
    with open(f'/proc/{pid}/status') as status:
        return next(int(line.split()[1]) for line in status if line.startswith('VmRSS:')) / 1024


def main():
    daemon = Daemon()
    daemon.arguments = ['--demo']
    daemon.start()
    pid, pages, tag = daemon.process.pid, [], ''
    over = 0
    for count in (1, 50, 200, 500):
        while len(pages) < count:
            pages.append(http.client.HTTPConnection('127.0.0.1', daemon.port, timeout=60, source_address=(f'127.0.1.{1 + len(pages) // 10}', 0)))
        statuses, began = {}, time.monotonic()
        for _ in range(5):
            for page in pages:
                page.request('GET', '/api/v1/today', headers={'If-None-Match': tag} if tag else {})
                answer = page.getresponse()
                answer.read()
                tag = answer.headers['ETag'] or tag
                statuses[answer.status] = statuses.get(answer.status, 0) + 1
        each_ms = (time.monotonic() - began) * 1000 / (5 * len(pages))
        memory = resident_mb(pid)
        over |= memory > 64
        print(f'open pages: {count:3d} connections, {memory:.1f} MB resident; a poll took {each_ms:.2f} ms from outside; answers {statuses}', flush=True)
    daemon.remove()
    raise SystemExit(over)


main()
