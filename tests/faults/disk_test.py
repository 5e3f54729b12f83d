#!/usr/bin/python3 -B
"""A disk that takes no more and a file that may not be written: a clear 5xx, reading goes on, and the first write after
the trouble is over is kept, without a restart.

Three ways: a limit on file sizes (EFBIG), where mounting is allowed a small tmpfs (ENOSPC), and a file without
write permission. As root the daemon of the last runs as nobody, since root may write anything.
"""
import os
import resource
import shutil
import subprocess
import sys
import tempfile

from daemon import BUILD, Checks, Daemon, add_tank, entry, says


def long_entry(tank, number):
    """A top-up of six rows and a long note: where one has no room, the next one of its size has none either."""
    return dict(entry(tank, number * 2), note='n' * 1500)


def fill(client, tank, most):
    """Logs until it is refused; what was kept, what was refused, and how."""
    kept = []
    for number in range(most):
        sent = long_entry(tank, number)
        status, document = client.ask('POST', '/api/v1/entries', sent)
        if status != 201:
            return kept, sent, status, document, client.headers['Content-Type']
        kept.append(sent)
    return kept, None, 201, None, None


def check_trouble(checks, what, daemon, tank, mend, most=4000):
    """From full to mended, on a daemon that is about to run out of room."""
    client = daemon.client()
    kept, refused, status, document, kind = fill(client, tank, most)
    checks(f'{what}: a write is refused with a problem document', 500 <= status < 600 and kind == 'application/problem+json'
           and document.get('title'), f'{status} after {len(kept)}: {document.get("detail") if document else ""}')
    again, document = client.ask('POST', '/api/v1/entries', long_entry(tank, most))
    checks(f'{what}: the next one, too', 500 <= again < 600, again)
    readable = client.must('GET', f'/api/v1/tanks/{tank}/entries?limit=500')['items']
    checks(f'{what}: reading goes on', len(readable) >= min(500, len(kept)), len(readable))
    mend()
    status, document = client.ask('POST', '/api/v1/entries', refused)
    checks(f'{what}: mended, the refused one is kept', status in (200, 201) and says(document, refused), status)
    amiss = sum(not says(client.must('GET', f'/api/v1/entries/{item["id"]}'), item) for item in kept + [refused])
    checks(f'{what}: nothing that was acknowledged is lost', amiss == 0, f'{len(kept)} acknowledged')
    client.close()
    return refused


def check_restart(checks, what, daemon, refused, most_before):
    """A refused commit may be on the disk after all: then whole, and sent again it is kept once."""
    daemon.kill()
    daemon.limits = None
    daemon.start()
    client = daemon.client()
    status, document = client.ask('GET', f'/api/v1/entries/{refused["id"]}')
    checks(f'{what}: after a kill the refused one is whole or not there', status == 404 or says(document, refused), status)
    again, document = client.ask('POST', '/api/v1/entries', refused)
    checks(f'{what}: and sent again it is kept once', again == (201 if status == 404 else 200) and says(document, refused), again)
    client.close()


def size_limit(checks):
    daemon = Daemon().start()
    client = daemon.client()
    tank = add_tank(client, 'tub')
    client.close()
    pid = daemon.process.pid
    largest = max(os.path.getsize(os.path.join(daemon.folder, name)) for name in os.listdir(daemon.folder))
    unlimited = resource.prlimit(pid, resource.RLIMIT_FSIZE)

    def tighten(more):
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (largest + more, unlimited[1]))

    tighten(200000)
    check_trouble(checks, 'file size limit', daemon, tank, lambda: resource.prlimit(pid, resource.RLIMIT_FSIZE, unlimited))
    largest = max(os.path.getsize(os.path.join(daemon.folder, name)) for name in os.listdir(daemon.folder))
    tighten(60000)
    client = daemon.client()
    refused = fill(client, tank, 4000)[1]
    client.close()
    check_restart(checks, 'file size limit', daemon, refused, None)
    checks('file size limit: it stops when asked', daemon.stop() == 0)
    daemon.remove()


def full_disk(checks):
    place = tempfile.mkdtemp(prefix='test-tmpfs-', dir=BUILD)
    subprocess.run(['mount', '-t', 'tmpfs', '-o', 'size=2m', 'tmpfs', place], check=True)
    daemon = Daemon(place).start()
    client = daemon.client()
    tank = add_tank(client, 'tub')
    client.close()
    check_trouble(checks, 'full disk', daemon, tank,
                  lambda: subprocess.run(['mount', '-o', 'remount,size=64m', place], check=True))
    checks('full disk: it says that the disk is full', b' 507 ' in daemon.log_text())
    checks('full disk: it stops when asked', daemon.stop() == 0)
    daemon.remove()
    subprocess.run(['umount', place], check=True)
    os.rmdir(place)


def read_only(checks):
    place = tempfile.mkdtemp(prefix='test-read-only-')
    nobody = 65534
    root = os.geteuid() == 0
    os.chmod(place, 0o755)
    shutil.copy(os.path.join(BUILD, 'tidemarkd'), place)
    daemon = Daemon(place, limits=(lambda: os.setuid(nobody)) if root else None)
    daemon.www = shutil.copytree(daemon.www, place + '/www')
    daemon.program = place + '/tidemarkd'
    if root:
        os.chown(place, nobody, nobody)
    daemon.start()
    client = daemon.client()
    tank = add_tank(client, 'tub')
    client.must('POST', '/api/v1/entries', entry(tank, 1))
    client.close()
    checks('read-only file: stopped cleanly', daemon.stop() == 0)
    os.chmod(daemon.garden, 0o444)
    daemon.start()

    def allow():  # SQLite makes the two files beside it with the mode of the first
        for name in os.listdir(place):
            if name.startswith('test.garden'):
                os.chmod(os.path.join(place, name), 0o644)

    check_trouble(checks, 'read-only file', daemon, tank, allow)
    checks('read-only file: it stops when asked', daemon.stop() == 0)
    daemon.remove()
    shutil.rmtree(place)


def main():
    # In a mount namespace of its own, so that nothing stays mounted whatever happens.
    if len(sys.argv) == 1 and subprocess.run(['unshare', '--mount', 'true'], stderr=subprocess.DEVNULL).returncode == 0:
        os.execvp('unshare', ['unshare', '--mount', sys.executable, sys.argv[0], 'alone'])
    checks = Checks()
    size_limit(checks)
    if len(sys.argv) > 1:
        full_disk(checks)
    else:
        print('no right to mount here: the full disk itself is left to CI, the file size limit stands for it')
    read_only(checks)
    checks.end()


main()
