#!/usr/bin/python3 -B
"""Imports under trouble: killed (SIGKILL) at random moments they leave all or nothing; and a garden moves by its one file.

KILL_ROUNDS says how often each kind of import is killed (default 6).
"""
import json
import os
import random
import shutil
import threading
import time

from daemon import Checks, Daemon, add_tank, entry

ROUNDS = int(os.environ.get('KILL_ROUNDS', '6'))
ROWS = 30000
QUERY = '/api/v1/imports/readings?at_column=1&tank=tub&waterline_column=2&as=sensor&sensor=float'


def table():
    lines = ['at,mm']
    for i in range(ROWS):
        at = time.strftime('%Y-%m-%dT%H:%M:%SZ', time.gmtime(1750000000 + 60 * i))
        lines.append(f'{at},{200 - i % 1000 / 100:.1f}')
    return ('\n'.join(lines) + '\n').encode()


def send(client, path, body, media):
    """Once what a kill left has been cleared: until then the daemon says 409."""
    while any(job['state'] == 'running' for job in client.must('GET', '/api/v1/imports')['items']):
        time.sleep(0.01)
    client.connection.request('POST', path, body, {'Content-Type': media, 'Origin': f'http://{client.connection.host}:{client.connection.port}'})
    answer = client.connection.getresponse()
    said = answer.read()
    if answer.status != 202:
        raise AssertionError(f'{path}: {answer.status} {said[:300]}')
    return json.loads(said)


def wait(client, job):
    while True:
        now = client.must('GET', f'/api/v1/imports/{job["id"]}')
        if now['state'] != 'running':
            return now
        time.sleep(0.01)


def export(client):
    client.connection.request('GET', '/api/v1/export')
    answer = client.connection.getresponse()
    text = answer.read()
    assert answer.status == 200, text[:300]
    return text


def kept(text):
    return sum(len(group['rows']) for group in json.loads(text)['readings'])


def killed(daemon, path, body, media, seconds):
    """Begins an import and kills the daemon so long after; starts it again."""
    def begin():
        try:
            send(daemon.client(), path, body, media)
        except Exception:  # the daemon is gone: that is the point
            pass
    sender = threading.Thread(target=begin)
    sender.start()
    time.sleep(seconds)
    daemon.kill()
    sender.join()
    daemon.start()
    return daemon.client()


def leftovers(daemon):
    return [name for name in os.listdir(daemon.folder) if '.import' in name or '.part' in name]


def how_long(path, body, media, prepare):
    daemon = Daemon().start()
    client = daemon.client()
    prepare(client)
    began = time.monotonic()
    job = wait(client, send(client, path, body, media))
    took = time.monotonic() - began
    assert job['state'] == 'done', job
    text = export(client)
    daemon.remove()
    return took, text


def readings_killed(checks):
    rows = table()
    took, _ = how_long(QUERY, rows, 'text/csv', lambda client: add_tank(client, 'tub'))
    halves = nothings = wholes = left = 0
    for _ in range(ROUNDS):
        daemon = Daemon().start()
        add_tank(daemon.client(), 'tub')
        client = killed(daemon, QUERY, rows, 'text/csv', random.uniform(0.05, 1.1) * took)
        count = kept(export(client))
        halves += count not in (0, ROWS)
        nothings += count == 0
        wholes += count == ROWS
        left += len(leftovers(daemon))
        job = wait(client, send(client, QUERY, rows, 'text/csv'))
        halves += job['state'] != 'done' or job['kept'] != ROWS - count or kept(export(client)) != ROWS
        daemon.remove()
    print(f'a table of {ROWS} rows, killed {ROUNDS} times: {nothings} left nothing, {wholes} all')
    checks('a killed import of readings leaves all or nothing, and can be sent again', halves == 0)
    checks('and no file beside the garden', left == 0)
    checks('some kills came before the end', nothings > 0)


def garden_killed(checks):
    def fill(client):
        tank = add_tank(client, 'tub')
        for i in range(60):
            client.must('POST', '/api/v1/entries', entry(tank, i))
    rows = table()
    source = Daemon().start()
    client = source.client()
    fill(client)
    assert wait(client, send(client, QUERY, rows, 'text/csv'))['state'] == 'done'
    whole = export(client)
    source.remove()
    took, again = how_long('/api/v1/imports/garden', whole, 'application/json', lambda client: None)
    checks('export, import, export: the same bytes', again == whole)
    halves = nothings = left = 0
    for _ in range(ROUNDS):
        daemon = Daemon().start()
        empty = export(daemon.client())
        client = killed(daemon, '/api/v1/imports/garden', whole, 'application/json', random.uniform(0.05, 1.1) * took)
        now = export(client)
        halves += now not in (empty, whole)
        nothings += now == empty
        left += len(leftovers(daemon))
        if now == empty:
            halves += wait(client, send(client, '/api/v1/imports/garden', whole, 'application/json'))['state'] != 'done' or export(client) != whole
        daemon.remove()
    print(f'a garden of {len(whole)} bytes, killed {ROUNDS} times: {nothings} left it empty, {ROUNDS - nothings} whole')
    checks('a killed import of a garden leaves it empty or whole', halves == 0)
    checks('and no file beside it', left == 0)


def moved_by_its_file(checks):
    first = Daemon().start()
    client = first.client()
    tank = add_tank(client, 'tub')
    for i in range(40):
        client.must('POST', '/api/v1/entries', entry(tank, i))
    invite = client.must('POST', '/api/v1/invites', {'name': 'Wren', 'role': 'keeper'})
    token = invite['link'].split('#')[1]
    status, cookie = pair(first, token)
    checks('a phone pairs', status == 201 and bool(cookie))
    told = export_as(first, cookie)
    checks('and reads everything', isinstance(told, bytes) and len(json.loads(told)['entries']) == 40)
    checks('which nobody else does any more', export_as(first, None) == 401)
    made = json.loads(ask(first, 'POST', '/api/v1/backup', cookie, b'{}')[1])
    copy = next(os.path.join(folder, made['file']) for folder, _, files in os.walk(first.folder) if made['file'] in files)
    first.stop()
    checks('stopped, a garden is one file', [name for name in os.listdir(first.folder) if name.startswith('test.garden') and not name.endswith('.backup')] == ['test.garden'])
    for what, path in (('its file', first.garden), ('a backup', copy)):
        second = Daemon()
        shutil.copy(path, second.garden)
        second.start()
        checks(f'moved by {what}, everything is there, and the phone stays paired', export_as(second, cookie) == told)
        second.remove()
    first.remove()


def ask(daemon, method, path, cookie, body=None):
    client = daemon.client()
    headers = {'Content-Type': 'application/json', 'Origin': f'http://{client.connection.host}:{client.connection.port}'}
    if cookie:
        headers['Cookie'] = cookie
    client.connection.request(method, path, body, headers)
    answer = client.connection.getresponse()
    return answer, answer.read()


def pair(daemon, token):
    answer, _ = ask(daemon, 'POST', '/api/v1/pair', None, json.dumps({'token': token, 'device_name': 'phone'}).encode())
    return answer.status, (answer.getheader('Set-Cookie') or '').split(';')[0]


def export_as(daemon, cookie):
    answer, text = ask(daemon, 'GET', '/api/v1/export', cookie)
    return text if answer.status == 200 else answer.status


def main():
    random.seed(20261125)
    checks = Checks()
    readings_killed(checks)
    garden_killed(checks)
    moved_by_its_file(checks)
    checks.end()


main()
