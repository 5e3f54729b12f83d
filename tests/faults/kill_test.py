#!/usr/bin/python3 -B
"""Nothing that was answered with 2xx is lost: the daemon is killed (SIGKILL) at random moments under eight writers.

After each restart every acknowledged entry is there as it was sent, every other one is there whole or not at all, and
sending those again keeps each once. KILL_ROUNDS says how often (default 20).
"""
import http.client
import os
import random
import threading
import time

from daemon import Checks, Daemon, add_tank, entry, says

ROUNDS = int(os.environ.get('KILL_ROUNDS', '20'))
WRITERS = 8
FRESH = 25  # rounds after which a new garden begins, so that reading all back stays quick


class Writer(threading.Thread):
    """Logs one entry after the other until there is no answer; keeps what was acknowledged and what was not."""

    def __init__(self, daemon, tank, first):
        super().__init__()
        self.client, self.tank, self.number = daemon.client(), tank, first
        self.kept, self.open, self.amiss = [], None, []

    def run(self):
        try:
            while True:
                self.open = entry(self.tank, self.number)
                status, document = self.client.ask('POST', '/api/v1/entries', self.open)
                if status != 201 or not says(document, self.open):
                    self.amiss.append((status, document))
                    return
                self.kept.append(self.open)
                self.open = None
                self.number += 1
        except (OSError, http.client.HTTPException):
            pass


def whole_log(client):
    stored, after = {}, ''
    while after is not None:
        page = client.must('GET', '/api/v1/entries?limit=500' + (f'&after={after}' if after else ''))
        stored.update((item['id'], item) for item in page['items'])
        after = page['next']
    return stored


def main():
    random.seed(20260501)
    checks = Checks()
    acknowledged = unanswered = found_unanswered = lost = halves = amiss = twice = 0
    daemon, tanks, sent = None, [], {}
    for round_ in range(ROUNDS):
        if round_ % FRESH == 0:
            if daemon:
                daemon.remove()
            daemon, sent = Daemon().start(), {}
            client = daemon.client()
            tanks = [add_tank(client, f'tub {place}') for place in range(WRITERS)]
            client.close()
        writers = [Writer(daemon, tank, len(sent) + place * 100000) for place, tank in enumerate(tanks)]
        for writer in writers:
            writer.start()
        time.sleep(random.uniform(0.005, 0.4))
        daemon.kill()
        for writer in writers:
            writer.join()
            amiss += len(writer.amiss)
        kept = [item for writer in writers for item in writer.kept]
        still_open = [writer.open for writer in writers if writer.open]
        daemon.start()
        client = daemon.client()
        stored = whole_log(client)
        acknowledged += len(kept)
        unanswered += len(still_open)
        lost += sum(item['id'] not in stored for item in kept)
        sent.update((item['id'], item) for item in kept + still_open)
        found_unanswered += sum(item['id'] in stored for item in still_open)
        halves += sum(name not in sent or not says(item, sent[name]) for name, item in stored.items())
        for item in still_open:
            status, document = client.ask('POST', '/api/v1/entries', item)
            twice += not (status == (200 if item['id'] in stored else 201) and says(document, item))
        client.close()
    client = daemon.client()
    checks('every entry is there once in the end', set(whole_log(client)) == set(sent), len(sent))
    checks('it stops when asked', daemon.stop() == 0)
    daemon.remove()
    checks(f'{ROUNDS} kills: every acknowledged entry is there', lost == 0 and acknowledged > ROUNDS, f'{acknowledged} acknowledged, {lost} lost')
    checks('no entry is there by half', halves == 0, f'{unanswered} without an answer, {found_unanswered} of them on the disk')
    checks('sent again, each is kept once', twice == 0)
    checks('no answer but 201 while it ran', amiss == 0)
    checks.end()


main()
