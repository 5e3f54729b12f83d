#!/usr/bin/python3 -B
"""The daemon as a program: options, the first link, --pair, one daemon a garden, its log, how it stops."""
import http.client
import json
import os
import re
import shutil
import socket
import stat
import subprocess
import sys
import tempfile
import threading
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', 'faults'))
from daemon import BUILD, Checks, Daemon, add_tank, entry  # noqa: E402

PROGRAM = os.path.join(BUILD, 'tidemarkd')
LINK = re.compile(r'(http://\S+)/pair\.html#([A-Za-z0-9_-]{43})\n')


def run(*options):
    done = subprocess.run([PROGRAM, *options], capture_output=True, text=True, timeout=60)
    return done.returncode, done.stdout, done.stderr


def pair(client, token, port):
    return client.ask('POST', '/api/v1/pair', {'token': token, 'device_name': 'test'}, {'Origin': f'http://127.0.0.1:{port}'})


def check_options(checks, folder):
    garden = os.path.join(folder, 'options.garden')
    with open(os.path.join(folder, 'text'), 'w') as text:
        text.write('no garden at all, but long enough to be read as one\n' * 30)
    for options, says in ((['--bogus'], '--bogus'), ([], 'which garden?'), (['--demo', '--garden', garden], 'garden of its own'),
                          (['--demo', '--pair', 'Ana'], 'no --pair'), (['--garden', garden, 'more'], 'more'),
                          (['--garden', garden, '--pool', '1'], '2 to 64'), (['--garden', garden, '--pool', 'x'], '2 to 64'), (['--garden'], 'requires an argument')):
        status, said, complained = run(*options)
        checks(f'refused with 2: {" ".join(options).replace(garden, "FILE")}', status == 2 and says in complained and 'tidemarkd --help' in complained and not said)
    for options, says in ((['--garden', folder + '/no/such.garden'], 'No such file'), (['--garden', garden, '--www', folder + '/no'], 'No such file'),
                          (['--garden', garden, '--www', BUILD + '/site', '--listen', '127.0.0.1'], 'ADDRESS:PORT'),
                          (['--garden', os.path.join(folder, 'text')], 'not a')):
        status, _, complained = run(*options)
        checks(f'does not start, and says why: {says}', status == 1 and says in complained, complained.split('\n')[0][-120:])
    status, said, _ = run('--version')
    checks('--version', status == 0 and re.match(r'tidemarkd \d+\.\d+\.\d+\n$', said))
    status, said, _ = run('--help')
    checks('--help names every option', status == 0 and all(option in said for option in (
        '--garden', '--demo', '--pair', '--listen', '--www', '--host', '--public-url', '--tls-cert', '--tls-key', '--trusted-proxy', '--pool', '--help', '--version')))
    checks('and none is wider than a terminal of 120', max(map(len, said.split('\n'))) <= 120)


def check_links(checks):
    daemon = Daemon()
    daemon.out = open(os.path.join(daemon.folder, 'out'), 'w+')
    daemon.start()
    first = LINK.search(open(daemon.out.name).read())
    checks('the first start prints a link, before it says that it listens', first and first.group(1) == f'http://127.0.0.1:{daemon.port}')
    checks('and its QR code', '▀' in open(daemon.out.name).read() or '█' in open(daemon.out.name).read())
    checks('the garden file is for its owner alone', stat.S_IMODE(os.stat(daemon.garden).st_mode) == 0o600)
    status, said, complained = run('--garden', daemon.garden, '--www', daemon.www, '--listen', '127.0.0.1:0')
    checks('a second daemon on one garden is refused', status == 1 and 'in use by another' in complained)

    status, said, _ = run('--garden', daemon.garden, '--pair', 'Ana')
    second = LINK.search(said)
    client = daemon.client()
    checks('--pair while it runs prints another', status == 0 and second and second.group(2) != first.group(2))
    checks('which ends the first', pair(client, first.group(2), daemon.port)[0] == 404)
    status, document = pair(client, second.group(2), daemon.port)
    checks('and makes a keeper of that name', status == 201 and document['name'] == 'Ana' and document['role'] == 'keeper')
    checks('this machine is no keeper any more', client.ask('GET', '/api/v1/garden')[0] == 401)
    checks('--pair with a name that cannot be', 'control characters' in run('--garden', daemon.garden, '--pair', 'a\x1b[2Jb')[1])
    client.close()
    checks('it stops when asked', daemon.stop() == 0)

    status, said, _ = run('--garden', daemon.garden, '--pair', 'Ana', '--listen', ':8099')
    third = LINK.search(said)
    checks('--pair while none runs prints one for the next', status == 0 and third and third.group(1).endswith(':8099') and '127.0.0.1' not in third.group(1))
    daemon.start()
    checks('a start after that prints none', len(LINK.findall(open(daemon.out.name).read())) == 1)
    client = daemon.client()
    status, document = pair(client, third.group(2), daemon.port)
    checks('and it is the same member again', status == 201 and document['name'] == 'Ana')
    log = daemon.log_text().decode()
    checks('no token is in the log', all(found.group(2) not in log for found in (first, second, third)))
    client.close()
    daemon.remove()


def check_race(checks):
    """Fifty phones open one invite at the same moment."""
    daemon = Daemon().start()
    token = LINK.search(run('--garden', daemon.garden, '--pair', 'Ana')[1]).group(2)
    gate, statuses = threading.Barrier(50), []

    def open_it(place):
        mine = http.client.HTTPConnection('127.0.0.1', daemon.port, timeout=60, source_address=(f'127.0.3.{1 + place}', 0))
        mine.connect()
        gate.wait()
        mine.request('POST', '/api/v1/pair', json.dumps({'token': token, 'device_name': f'phone {place}'}),
                     {'Content-Type': 'application/json', 'Origin': f'http://127.0.0.1:{daemon.port}'})
        answer = mine.getresponse()
        answer.read()
        statuses.append((answer.status, answer.headers['Set-Cookie'] is not None))
        mine.close()

    phones = [threading.Thread(target=open_it, args=(place,)) for place in range(50)]
    for phone in phones:
        phone.start()
    for phone in phones:
        phone.join()
    checks('of fifty openings one wins, and it alone gets a cookie', sorted(statuses) == [(201, True)] + [(404, False)] * 49, len(statuses))
    daemon.remove()


def check_log(checks):
    daemon = Daemon().start()
    for path in ('/api/v1/%1b%5b2J', '/api/v1/a%0a2026-05-01T00:00:00Z%20stopped', '/api/v1/%c3%bc'):
        with socket.create_connection(('127.0.0.1', daemon.port)) as raw:
            raw.sendall(f'GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n'.encode())
            while raw.recv(4096):
                pass
    with socket.create_connection(('127.0.0.1', daemon.port)) as raw:
        raw.sendall(b'GET / HTTP/1.1\r\nHost: x\x1b]0;y\xff\r\nConnection: close\r\n\r\n')
        raw.recv(4096)
    lines = daemon.log_text().decode('ascii').splitlines()  # ASCII: nothing that moves a cursor
    checks('each event is one line with its time', all(re.match(r'\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ [a-z]+ ', line) for line in lines), len(lines))
    checks('what came in is escaped', any('\\xc3\\xbc' in line for line in lines) and any('x\\x1b]0;y' in line for line in lines))
    checks('no line was begun from outside', sum(' stopped' in line[20:29] for line in lines) == 0)
    client = daemon.client()
    for _ in range(400):
        client.ask('GET', '/api/v1/nothing')
    client.close()
    time.sleep(1.1)
    client = daemon.client()
    client.ask('GET', '/api/v1/calendar/hushhushhush')
    client.ask('GET', '/api/v1/nothing?secret=hush')
    client.close()
    text = daemon.log_text().decode()
    checks('a flood is cut to fifty lines a second', re.search(r' log \d+ lines left out\n', text) and text.count('/api/v1/nothing') < 400, text.count('/api/v1/nothing'))
    checks('nothing of a query and no key is logged', '404 GET /api/v1/calendar/{key} from' in text and 'hush' not in text and text.rstrip().endswith('404 GET /api/v1/nothing from 127.0.0.1'))
    checks('stops when asked', daemon.stop() == 0)
    daemon.remove()


def check_stop(checks):
    """Eight writers while it is asked to stop: what was answered is kept, and all ends well."""
    daemon = Daemon().start()
    client = daemon.client()
    tank = add_tank(client, 'tub')
    client.close()
    kept = []

    def write():
        mine = daemon.client()
        try:
            for number in range(100000):
                sent = entry(tank, number)
                if mine.ask('POST', '/api/v1/entries', sent)[0] == 201:
                    kept.append(sent['id'])
        except Exception:
            mine.close()

    writers = [threading.Thread(target=write) for _ in range(8)]
    for writer in writers:
        writer.start()
    time.sleep(0.3)
    began = time.monotonic()
    status = daemon.stop()
    checks('stops with 0 under eight writers', status == 0, f'{time.monotonic() - began:.2f} s')
    for writer in writers:
        writer.join()
    checks('nothing is left beside the garden file', sorted(os.listdir(daemon.folder)) == ['test.garden'])
    daemon.start()
    client = daemon.client()
    checks('all that was answered is there', kept and all(client.ask('GET', f'/api/v1/entries/{id_}')[0] == 200 for id_ in kept), len(kept))
    client.close()
    daemon.remove()


def check_every_address(checks):
    daemon = Daemon()
    daemon.listen = '[::]:0'
    daemon.start()
    for family, host in ((socket.AF_INET, '127.0.0.1'), (socket.AF_INET6, '::1')):
        with socket.socket(family) as raw:
            raw.settimeout(20)
            raw.connect((host, daemon.port))
            name = f'[{host}]' if ':' in host else host
            raw.sendall(f'GET /api/v1/garden HTTP/1.1\r\nHost: {name}:{daemon.port}\r\nConnection: close\r\n\r\n'.encode())
            checks(f'reached at {host}', raw.recv(4096).startswith(b'HTTP/1.1 200'))
    daemon.remove()


def main():
    checks = Checks()
    folder = tempfile.mkdtemp(prefix='test-daemon-', dir=BUILD)
    check_options(checks, folder)
    check_links(checks)
    check_race(checks)
    check_log(checks)
    check_stop(checks)
    check_every_address(checks)
    shutil.rmtree(folder)
    checks.end()


main()
