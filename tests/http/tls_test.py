#!/usr/bin/python3 -B
"""HTTPS by --tls-cert and --tls-key: which versions, which headers and cookies, what is refused at start."""
import http.client
import json
import os
import re
import shutil
import ssl
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', 'faults'))
from daemon import BUILD, Checks, Daemon  # noqa: E402


def make_key(folder, name):
    """An ECDSA P-256 key and a certificate of its own for localhost."""
    key, cert = os.path.join(folder, name + '-key.pem'), os.path.join(folder, name + '-cert.pem')
    subprocess.run(['openssl', 'req', '-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:P-256', '-nodes', '-days', '2',
                    '-subj', '/CN=localhost', '-addext', 'subjectAltName=DNS:localhost,DNS:tank.example', '-keyout', key, '-out', cert],
                   check=True, capture_output=True)
    os.chmod(key, 0o600)
    return cert, key


def client(port, cert, least=ssl.TLSVersion.TLSv1_2, most=ssl.TLSVersion.TLSv1_3):
    context = ssl.create_default_context(cafile=cert)
    context.minimum_version, context.maximum_version = least, most
    context.set_ciphers('ALL:@SECLEVEL=0')
    return http.client.HTTPSConnection('localhost', port, context=context, timeout=20)


def ask(connection, method, path, body=None, headers=None):
    connection.request(method, path, body, headers or {})
    answer = connection.getresponse()
    return answer, answer.read()


def version_of(port, cert, version):
    connection = client(port, cert, version, version)
    try:
        connection.connect()
        return connection.sock.version()
    except (OSError, ssl.SSLError):
        return None
    finally:
        connection.close()


def refused_start(folder, *options):
    """What it says when it does not start."""
    run = subprocess.run([os.path.join(BUILD, 'tidemarkd'), '--garden', os.path.join(folder, 'refused.garden'), '--www', os.path.join(BUILD, 'site'),
                          '--listen', '127.0.0.1:0', *options], capture_output=True, text=True, timeout=60)
    return run.returncode, run.stderr


def main():
    if not shutil.which('openssl'):
        print('skipped: openssl is not installed, so there is no certificate')
        raise SystemExit(77)
    checks = Checks()
    folder = tempfile.mkdtemp(prefix='test-tls-', dir=BUILD)
    cert, key = make_key(folder, 'one')
    other_cert, _ = make_key(folder, 'other')
    daemon = Daemon(options=('--tls-cert', cert, '--tls-key', key, '--public-url', 'https://tank.example')).start()
    port = daemon.port
    token = subprocess.run([os.path.join(BUILD, 'tidemarkd'), '--garden', daemon.garden, '--pair', 'Ana'], capture_output=True, text=True, check=True).stdout
    checks('the link has the public address', 'https://tank.example/pair.html#' in token)
    token = re.search(r'#(\S{43})', token).group(1)

    checks('TLS 1.3', version_of(port, cert, ssl.TLSVersion.TLSv1_3) == 'TLSv1.3')
    checks('TLS 1.2', version_of(port, cert, ssl.TLSVersion.TLSv1_2) == 'TLSv1.2')
    checks('no TLS 1.1', version_of(port, cert, ssl.TLSVersion.TLSv1_1) is None)

    answer, _ = ask(client(port, cert), 'GET', '/')
    checks('a page', answer.status == 200 and 'default-src' in answer.headers['Content-Security-Policy'])
    checks('no HSTS for a name that other services have, too', answer.headers['Strict-Transport-Security'] is None)
    answer, _ = ask(client(port, cert), 'GET', '/', headers={'Host': 'tank.example'})
    checks('HSTS for the public name', answer.headers['Strict-Transport-Security'] == 'max-age=2592000')
    answer, _ = ask(client(port, cert), 'GET', '/', headers={'Host': 'rebound.example'})
    checks('a foreign host name', answer.status == 421)

    body = json.dumps({'token': token, 'device_name': 'test'})
    answer, _ = ask(client(port, cert), 'POST', '/api/v1/pair', body,
                    {'Content-Type': 'application/json', 'Origin': 'https://tank.example', 'Host': 'tank.example'})
    cookie = answer.headers['Set-Cookie'] or ''
    checks('pairing sets a __Host- cookie', answer.status == 201 and re.match(
        r'__Host-tidemark=\S{43}; Path=/; HttpOnly; SameSite=Strict; Max-Age=\d+; Secure$', cookie), answer.status)
    answer, content = ask(client(port, cert), 'GET', '/api/v1/garden', headers={'Cookie': cookie.split(';')[0]})
    checks('and the cookie is known', answer.status == 200 and json.loads(content)['me']['name'] == 'Ana')

    plain = http.client.HTTPConnection('127.0.0.1', port, timeout=20)
    try:
        plain.request('GET', '/')
        status = plain.getresponse().status
    except (OSError, http.client.HTTPException):
        status = None
    checks('plain HTTP at the TLS port is not answered', status is None, status)
    checks('it stops when asked', daemon.stop() == 0)
    log = daemon.log_text().decode()
    checks('no token is in the log', token not in log and cookie.split('=')[1].split(';')[0] not in log and 'POST /api/v1/pair' in log)
    daemon.remove()

    status, said = refused_start(folder, '--tls-cert', cert)
    checks('a certificate without a key', status != 0 and 'needs both a certificate and its key' in said)
    status, said = refused_start(folder, '--tls-cert', other_cert, '--tls-key', key)
    checks('a key that is another certificate\'s', status != 0 and 'belong together' in said)
    os.chmod(key, 0o644)
    daemon = Daemon(options=('--tls-cert', cert, '--tls-key', key)).start()
    checks('a key that all can read is warned of', 'can be read by others' in daemon.log_text().decode())
    daemon.remove()
    shutil.rmtree(folder)
    checks.end()


main()
