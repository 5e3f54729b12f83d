#!/usr/bin/python3 -B
"""A sensor as it comes: the example of fixtures/sensors with curl, against a daemon; and the daemon's own backups."""
import os
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', 'faults'))
from daemon import BUILD, Checks, Daemon, add_tank  # noqa: E402

EXAMPLE = os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', '..', 'fixtures', 'sensors', 'post-readings')

WEATHER = os.path.join(os.path.dirname(EXAMPLE), 'post-weather')


def send(daemon, key, code, lines):
    done = subprocess.run([EXAMPLE, f'http://127.0.0.1:{daemon.port}', key, code], input=lines, capture_output=True, text=True, timeout=60)
    return done.returncode, done.stdout


def check_example(checks, daemon, client):
    tank = add_tank(client, 'tub')
    code = client.must('GET', f'/api/v1/tanks/{tank}')['code']
    key = client.must('POST', '/api/v1/sensors', {'name': 'Float', 'tanks': [tank]})['key']
    now = int(time.time())
    lines = ''.join(f'{now - 600 + 60 * i} {180 - i * 0.1:.1f} 19.5\n' for i in range(10))
    status, said = send(daemon, key, code, lines)
    checks('ten readings are taken', status == 0 and '"added":10' in said and '"flagged":0' in said, said[-60:])
    status, said = send(daemon, key, code, lines)
    checks('sent again they are known', status == 0 and '"added":0' in said and '"known":10' in said, said[-60:])
    status, said = send(daemon, key, code, f'{now} 900\n')
    checks('what cannot be is refused, with its place', status != 0 and '/readings/0/waterline_mm' in said, said[-200:])
    status, said = send(daemon, 'x' * 43, code, lines)
    checks('a wrong key is refused', status != 0)
    items = client.must('GET', f'/api/v1/tanks/{tank}/readings?every=all&limit=4')
    checks('all of them come back by pages', len(items['items']) == 4 and items['next'])
    rest = client.must('GET', f'/api/v1/tanks/{tank}/readings?every=all&after={items["next"]}')
    checks('the rest, too', len(rest['items']) == 6 and not rest['next'] and rest['items'][-1]['waterline_mm'] == 180)
    thin = client.must('GET', f'/api/v1/tanks/{tank}/readings')['items']
    checks('thinned they are few', 0 < len(thin) < 4, len(thin))


def check_doubted(checks, daemon, client):
    tank = add_tank(client, 'doubted tub')
    code = client.must('GET', f'/api/v1/tanks/{tank}')['code']
    key = client.must('POST', '/api/v1/sensors', {'name': 'Jumper', 'tanks': [tank]})['key']
    now = int(time.time())
    doubted = lambda: client.must('GET', f'/api/v1/tanks/{tank}/doubted')
    checks('where no sensor tells nothing is doubted', (doubted()['looked'], doubted()['odd'], doubted()['items'], doubted()['doubts']) == (0, 0, [], []))
    send(daemon, key, code, ''.join(f'{now - 3600 + 60 * i} {20 if i == 5 else 180 - i * 0.1:.1f} 19.5\n' for i in range(10)))
    found = doubted()
    checks('one that jumps is told with its sensor and why', (found['looked'], found['odd']) == (10, 1) and
           [(item['waterline_mm'], item['sensor_name'], item['flags']) for item in found['items']] == [(20, 'Jumper', ['jump'])], found)
    stamp = lambda at: time.strftime('%Y-%m-%dT%H:%M:%SZ', time.gmtime(at))
    doubt = client.must('POST', '/api/v1/doubts', {'tank': tank, 'from': stamp(now - 3600), 'to': stamp(now - 3500), 'why': 'it was being cleaned'})
    found = doubted()
    checks('what people doubt is told, too', found['odd'] == 3 and found['items'][-1]['flags'] == ['doubted'] and found['doubts'][0]['why'] == 'it was being cleaned', found)
    client.must('DELETE', f'/api/v1/doubts/{doubt["id"]}')
    checks('believed again it is gone', doubted()['odd'] == 1 and doubted()['doubts'] == [])


def check_weather(checks, daemon, client):
    tank = add_tank(client, 'weather tub')
    key = client.must('POST', '/api/v1/sensors', {'name': 'Mast', 'tanks': [tank]})['key']

    def tell(lines):
        done = subprocess.run([WEATHER, f'http://127.0.0.1:{daemon.port}', key], input=lines, capture_output=True, text=True, timeout=60)
        return done.returncode, done.stdout
    days = [time.strftime('%Y-%m-%d', time.gmtime(time.time() - 86400 * ago)) for ago in (40, 3, 2)]
    status, said = tell(f'{days[1]} 8.5 21 0\n{days[2]} 9 22.5\n')
    kept = client.must('GET', '/api/v1/weather')['items']
    checks('two days of weather are taken', status == 0 and [day['tmax_c'] for day in kept] == [21, 22.5], said[-100:])
    status, said = tell(f'{days[2]} 9 23\n')
    checks('a day told again is told anew', status == 0 and client.must('GET', '/api/v1/weather')['items'][1]['tmax_c'] == 23)
    status, said = tell(f'{days[0]} 9 23\n')
    checks('what is long past is not for a sensor to change', status != 0 and '/days/0/date' in said and len(client.must('GET', '/api/v1/weather')['items']) == 2)
    status, said = tell(f'{days[2]} 9 230\n')
    checks('weather that cannot be is refused, with its place', status != 0 and '/days/0/tmax_c' in said, said[-150:])


def main():
    checks = Checks()
    with tempfile.TemporaryDirectory(prefix='test-copies-', dir=BUILD) as copies:
        daemon = Daemon(options=('--backup-dir', copies, '--backup-every', '1', '--backup-keep', '2'))
        try:
            client = daemon.start().client()
            check_example(checks, daemon, client)
            check_doubted(checks, daemon, client)
            check_weather(checks, daemon, client)
            began = time.monotonic()
            while not os.listdir(copies) and time.monotonic() - began < 60:
                time.sleep(0.05)
            while any(name.endswith('.part') for name in os.listdir(copies)) and time.monotonic() - began < 60:
                time.sleep(0.05)
            made = [item['file'] for item in client.must('GET', '/api/v1/backups')['items']]
            checks('a copy was made by itself', len(made) == 1 and made == os.listdir(copies), made)
            checks('healthz tells of no trouble of the copies', 'backup_old' not in client.must('GET', '/healthz')['warnings'])
            checks('it stops when asked', daemon.stop() == 0)
        finally:
            daemon.remove()
    checks.end()


main()
