"""A daemon of its own for a test: a garden file in the build folder, a free port on loopback."""
import http.client
import json
import os
import re
import secrets
import shutil
import signal
import subprocess
import tempfile
import time

BUILD = os.environ.get('TIDEMARK_BUILDDIR', '.')


class Daemon:
    def __init__(self, folder=None, limits=None, options=()):
        self.own = folder is None
        self.folder = folder or tempfile.mkdtemp(prefix='test-faults-', dir=BUILD)
        self.garden = os.path.join(self.folder, 'test.garden')
        self.www = os.path.join(BUILD, 'site')
        self.arguments = ['--garden', self.garden]
        self.listen = '127.0.0.1:0'
        self.out = subprocess.DEVNULL
        self.limits = limits
        self.options = options
        self.process = None
        self.program = os.path.join(BUILD, 'tidemarkd')

    def start(self):
        self.log = tempfile.TemporaryFile()
        began = time.monotonic()
        self.process = subprocess.Popen(
            [self.program, *self.arguments, '--www', self.www, '--listen', self.listen, *self.options],
            stdout=self.out, stderr=self.log, preexec_fn=self.limits)
        while True:
            found = re.search(rb'listening at \S+:(\d+),', self.log_text())
            if found:
                self.port = int(found.group(1))
                return self
            if self.process.poll() is not None or time.monotonic() - began > 60:
                raise AssertionError('the daemon did not start: ' + self.log_text().decode())
            time.sleep(0.002)

    def log_text(self):
        return os.pread(self.log.fileno(), 1 << 24, 0)

    def kill(self):
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def stop(self):
        """Asks it to stop; returns its exit status."""
        if self.process is None or self.process.poll() is not None:
            return None
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(60)

    def remove(self):
        if self.process and self.process.poll() is None:
            self.kill()
        if self.own:
            shutil.rmtree(self.folder, ignore_errors=True)

    def client(self):
        return Client(self.port)


class Client:
    """One connection that asks, one thing after the other."""

    def __init__(self, port, timeout=30):
        self.connection = http.client.HTTPConnection('127.0.0.1', port, timeout=timeout)

    def ask(self, method, path, body=None, headers=None):
        """Status and document (or bytes). Raises OSError or HTTPException when there is no whole answer."""
        sent = {'Content-Type': 'application/json'} if body is not None else {}
        sent.update(headers or {})
        self.connection.request(method, path, json.dumps(body) if body is not None else None, sent)
        answer = self.connection.getresponse()
        content = answer.read()
        self.headers = answer.headers
        if content and 'json' in (answer.headers['Content-Type'] or ''):
            return answer.status, json.loads(content)
        return answer.status, content

    def must(self, method, path, body=None, headers=None):
        status, document = self.ask(method, path, body, headers)
        assert 200 <= status < 300, (method, path, status, document)
        return document

    def close(self):
        self.connection.close()


def new_id():
    """UUID, version 7 (RFC 9562, 2024)."""
    ms = int(time.time() * 1000)
    bits = ms << 80 | 7 << 76 | secrets.randbits(12) << 64 | 2 << 62 | secrets.randbits(62)
    text = f'{bits:032x}'
    return '-'.join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


def add_tank(client, name):
    """A round tub, invented, with one tank in it; returns the tank's id."""
    vessel = client.must('POST', '/api/v1/vessels', {
        'name': name, 'shape': {'shape': 'round', 'floor_mm': 300, 'rim_mm': 340, 'height_mm': 400}, 'start_mm': 300, 'low_mm': 60})
    return client.must('POST', '/api/v1/tanks', {'name': name, 'vessel': vessel['id']})['id']


def entry(tank, number):
    """The number-th entry: a reading or, of many rows, a top-up with salts."""
    at = time.strftime('%Y-%m-%dT%H:%M:%SZ', time.gmtime(1750000000 + number * 60))
    if number % 2:
        return {'id': new_id(), 'tank': tank, 'kind': 'reading', 'at': at, 'waterline_mm': 100 + number % 150, 'ph': 6.0}
    return {'id': new_id(), 'tank': tank, 'kind': 'top-up', 'at': at, 'volume_l': 1.5,
            'weighed': [{'salt': 'epsom-salt', 'grams': 1 + place} for place in range(5)]}


def says(stored, sent):
    """Whether what is stored says all that was sent."""
    return all(stored.get(name) == value for name, value in sent.items())


class Checks:
    """Counts, and prints the closing line."""

    def __init__(self):
        self.passed = self.failed = 0

    def __call__(self, what, true, detail=''):
        if true:
            self.passed += 1
        else:
            self.failed += 1
        print(('ok   ' if true else 'FAIL ') + what + (f': {detail}' if detail != '' else ''), flush=True)

    def end(self):
        print(f'{self.passed} passed, {self.failed} failed')
        raise SystemExit(self.failed > 0 or self.passed == 0)
