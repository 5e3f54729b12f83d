/* listen.c - opening the socket, starting and stopping the library. */
#include "http/listen.h"

#include <errno.h>
#include <fcntl.h>
#include <ifaddrs.h>
#include <netdb.h>
#include <netinet/in.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "http/exchange.h"
#include "http/log.h"

#define CONNECTION_MEMORY ((size_t)32 << 10) /* the library's own for each: line, headers, arguments */
#define STOP_MS 5000
#define PRIORITIES "SECURE128:-VERS-ALL:+VERS-TLS1.3:+VERS-TLS1.2"

struct listener {
    struct front front;
    struct MHD_Daemon *daemon;
    int socket;
    char *cert, *key;
    char address[160], reachable[160];
    const char *www;
    unsigned port;
};

/* --- the socket ------------------------------------------------------------------------------- */

/* "HOST:PORT" in two; -1 when it is not. */
static int split(const char *address, char host[128], char port[8])
{
    const char *colon = strrchr(address, ':');
    size_t length;

    if (!colon || strlen(colon + 1) >= 8 || !colon[1] || colon[1 + strspn(colon + 1, "0123456789")])
        return -1;
    length = (size_t)(colon - address);
    if (length >= 2 && address[0] == '[' && colon[-1] == ']') {
        address++;
        length -= 2;
    }
    if (length >= 128)
        return -1;
    memcpy(host, address, length);
    host[length] = '\0';
    strcpy(port, colon + 1);
    return 0;
}

static int open_socket(const struct addrinfo *at)
{
    int on = 1, off = 0;
    int fd = socket(at->ai_family, SOCK_STREAM, 0);

    if (fd < 0)
        return -1;
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (at->ai_family == AF_INET6)
        setsockopt(fd, IPPROTO_IPV6, IPV6_V6ONLY, &off, sizeof off);
    fcntl(fd, F_SETFD, FD_CLOEXEC);
    fcntl(fd, F_SETFL, O_NONBLOCK);
    if (bind(fd, at->ai_addr, at->ai_addrlen) == 0 && listen(fd, 256) == 0)
        return fd;
    close(fd);
    return -1;
}

static int open_address(struct listener *listener, const char *address, struct fault *fault)
{
    const struct addrinfo hints = {.ai_flags = AI_PASSIVE | AI_NUMERICSERV, .ai_socktype = SOCK_STREAM};
    struct addrinfo *found = NULL;
    char host[128], port[8];
    int failed, why = 0;

    if (split(address, host, port))
        return fault_add(fault, FAULT_INPUT, "", "listen at ADDRESS:PORT, like 127.0.0.1:8080 or [::]:8080, not %s", address);
    failed = getaddrinfo(host[0] ? host : NULL, port, &hints, &found);
    if (failed)
        return fault_add(fault, FAULT_INPUT, "", "cannot listen at %s: %s", address, gai_strerror(failed));
    /* "" means every address: the IPv6 one takes both kinds, where there is IPv6. */
    for (const struct addrinfo *at = found; at && listener->socket < 0; at = at->ai_next)
        if (host[0] || at->ai_family == AF_INET6)
            listener->socket = open_socket(at);
    for (const struct addrinfo *at = found; at && listener->socket < 0; at = at->ai_next)
        listener->socket = open_socket(at);
    why = errno;
    freeaddrinfo(found);
    return listener->socket < 0 ? fault_add(fault, FAULT_INPUT, "", "cannot listen at %s: %s", address, strerror(why)) : 0;
}

static void write_url(const struct address *at, bool tls, unsigned port, char *text, size_t room)
{
    char digits[ADDRESS_TEXT];
    bool brackets = strchr(address_text(at, digits), ':') != NULL;

    snprintf(text, room, "%s://%s%s%s:%u", tls ? "https" : "http", brackets ? "[" : "", digits, brackets ? "]" : "", port);
}

static bool is_every_address(const struct address *at)
{
    static const struct address v6 = {{0}}, v4 = {{[10] = 0xff, [11] = 0xff}};

    return address_same(at, &v6) || address_same(at, &v4);
}

/* One of our addresses in the home network, IPv4 since people may have to type it; else at is left as it is. */
static void find_own(struct address *at)
{
    struct ifaddrs *all = NULL;
    struct address own;

    if (getifaddrs(&all))
        return;
    for (const struct ifaddrs *one = all; one; one = one->ifa_next)
        if (one->ifa_addr && one->ifa_addr->sa_family == AF_INET && address_of(&own, one->ifa_addr) && !address_is_loopback(&own)) {
            *at = own;
            break;
        }
    freeifaddrs(all);
}

static void note_address(struct listener *listener)
{
    struct sockaddr_storage at;
    socklen_t size = sizeof at;
    struct address own = {{0}};

    getsockname(listener->socket, (struct sockaddr *)&at, &size);
    address_of(&own, (struct sockaddr *)&at);
    listener->port = ntohs(at.ss_family == AF_INET ? ((struct sockaddr_in *)&at)->sin_port : ((struct sockaddr_in6 *)&at)->sin6_port);
    write_url(&own, listener->front.tls, listener->port, listener->address, sizeof listener->address);
    if (is_every_address(&own))
        find_own(&own);
    write_url(&own, listener->front.tls, listener->port, listener->reachable, sizeof listener->reachable);
}

void listen_guess(const char *address, bool tls, char *text, size_t room)
{
    struct address at = {{0}};
    char host[128] = "", port[8] = "0";

    if (split(address, host, port) == 0 && host[0] && !address_read(&at, host, strlen(host))) {
        snprintf(text, room, "%s://%s:%s", tls ? "https" : "http", host, port);
        return;
    }
    if (is_every_address(&at))
        find_own(&at);
    write_url(&at, tls, (unsigned)strtoul(port, NULL, 10), text, room);
}

/* --- TLS -------------------------------------------------------------------------------------- */

static char *read_pem(const char *name, bool secret, struct fault *fault)
{
    FILE *stream = fopen(name, "r");
    char *text = calloc(1, 65536);
    struct stat about;

    if (!stream || !text || fstat(fileno(stream), &about)) {
        fault_add(fault, FAULT_INPUT, "", "%s: %s", name, strerror(errno));
        goto failed;
    }
    if (secret && (about.st_mode & (S_IRWXG | S_IRWXO)))
        log_event("warning", "%s can be read by others than its owner", name);
    if (fread(text, 1, 65535, stream) == 0 || !strstr(text, "-----BEGIN ")) {
        fault_add(fault, FAULT_INPUT, "", "%s: holds no PEM text", name);
        goto failed;
    }
    fclose(stream);
    return text;
failed:
    if (stream)
        fclose(stream);
    free(text);
    return NULL;
}

static int read_tls(struct listener *listener, const struct listen_options *options, struct fault *fault)
{
    if (!options->tls_cert && !options->tls_key)
        return 0;
    if (!options->tls_cert || !options->tls_key)
        return fault_add(fault, FAULT_INPUT, "", "TLS needs both a certificate and its key");
    listener->cert = read_pem(options->tls_cert, false, fault);
    listener->key = listener->cert ? read_pem(options->tls_key, true, fault) : NULL;
    listener->front.tls = listener->key != NULL;
    return listener->key ? 0 : -1;
}

/* --- the library ------------------------------------------------------------------------------ */

static void library_says(void *context, const char *format, va_list arguments) __attribute__((format(printf, 2, 0)));

static void library_says(void *context, const char *format, va_list arguments)
{
    (void)context;
    log_event_v("library", format, arguments);
}

/* Room for every connection, a reader in each thread, and what else is open. */
static void raise_files_limit(void)
{
    struct rlimit limit;

    if (getrlimit(RLIMIT_NOFILE, &limit) || limit.rlim_cur >= CONNECTIONS_MOST + 128)
        return;
    limit.rlim_cur = limit.rlim_max < CONNECTIONS_MOST + 128 ? limit.rlim_max : CONNECTIONS_MOST + 128;
    setrlimit(RLIMIT_NOFILE, &limit);
}

static int start_library(struct listener *listener, unsigned pool, struct fault *fault)
{
    struct front *front = &listener->front;
    unsigned flags = MHD_USE_POLL | MHD_USE_INTERNAL_POLLING_THREAD | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG;
    struct MHD_OptionItem tls[] = {{MHD_OPTION_HTTPS_MEM_CERT, 0, listener->cert},
                                   {MHD_OPTION_HTTPS_MEM_KEY, 0, listener->key},
                                   {MHD_OPTION_HTTPS_PRIORITIES, 0, PRIORITIES},
                                   {MHD_OPTION_END, 0, NULL}};

    if (front->tls)
        flags |= MHD_USE_TLS;
    else
        tls[0].option = MHD_OPTION_END;
    listener->daemon = MHD_start_daemon(
        flags, 0, front_accept, front, exchange_go_on, front, MHD_OPTION_EXTERNAL_LOGGER, library_says, NULL,
        MHD_OPTION_LISTEN_SOCKET, listener->socket, MHD_OPTION_THREAD_POOL_SIZE, pool < 2 ? 2u : pool,
        MHD_OPTION_CONNECTION_LIMIT, (unsigned)CONNECTIONS_MOST, MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)(front->times.head_ms + 999) / 1000,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, CONNECTION_MEMORY, MHD_OPTION_STRICT_FOR_CLIENT, 0,
        MHD_OPTION_URI_LOG_CALLBACK, exchange_begin, front, MHD_OPTION_NOTIFY_COMPLETED, exchange_end, front,
        MHD_OPTION_NOTIFY_CONNECTION, front_connection, front, MHD_OPTION_ARRAY, tls, MHD_OPTION_END);
    return listener->daemon ? 0 : fault_add(fault, FAULT_INPUT, "", "the HTTP library does not start%s",
                                            front->tls ? "; do the certificate and the key belong together?" : "");
}

static int learn_names(struct front *front, const struct listen_options *options, struct fault *fault)
{
    hosts_start(&front->hosts);
    for (size_t i = 0; i < options->hosts; i++)
        if (hosts_add(&front->hosts, options->host[i], fault))
            return -1;
    for (size_t i = 0; i < options->trusted_proxies; i++)
        if (proxies_add(&front->proxies, options->trusted_proxy[i], fault))
            return -1;
    return options->public_url ? hosts_add_public(&front->hosts, options->public_url, fault) : 0;
}

static void free_listener(struct listener *listener)
{
    if (listener->socket >= 0)
        close(listener->socket);
    connections_stop(listener->front.connections);
    work_free(listener->front.work);
    files_free(listener->front.files);
    if (listener->key)
        sodium_memzero(listener->key, strlen(listener->key));
    free(listener->key);
    free(listener->cert);
    free(listener);
}

struct listener *listen_start(const struct listen_options *options, struct service *service, struct fault *fault)
{
    struct listener *listener = calloc(1, sizeof *listener);

    if (!listener) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    listener->socket = -1;
    listener->front.service = service;
    listener->front.times = options->times.head_ms ? options->times : LISTEN_TIMES;
    raise_files_limit();
    if (learn_names(&listener->front, options, fault) || read_tls(listener, options, fault))
        goto failed;
    listener->front.files = files_load(options->www, fault);
    if (!listener->front.files)
        goto failed;
    listener->front.connections = connections_start();
    if (!listener->front.connections) {
        fault_add(fault, FAULT_MEMORY, "", "no thread to watch the connections");
        goto failed;
    }
    listener->front.work = work_new(HTTP_WORK);
    if (!listener->front.work) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        goto failed;
    }
    if (open_address(listener, options->address, fault) ||
        start_library(listener, options->pool ? options->pool : HTTP_POOL, fault))
        goto failed;
    note_address(listener);
    listener->www = options->www;
    return listener;
failed:
    free_listener(listener);
    return NULL;
}

void listen_say(const struct listener *listener)
{
    log_event("listening", "at %s, %zu pages from %s", listener->address, files_count(listener->front.files), listener->www);
}

const char *listen_address(const struct listener *listener)
{
    return listener->address;
}

const char *listen_reachable(const struct listener *listener)
{
    return listener->reachable;
}

unsigned listen_port(const struct listener *listener)
{
    return listener->port;
}

unsigned listen_connections(const struct listener *listener)
{
    return connections_count(listener->front.connections);
}

void listen_stop(struct listener *listener)
{
    const struct timespec moment = {.tv_nsec = 20000000};
    unsigned busy = 0;

    if (!listener)
        return;
    atomic_store(&listener->front.stopping, true);
    MHD_quiesce_daemon(listener->daemon); /* the socket stays ours, closed after the stop */
    for (int waited = 0; waited < STOP_MS; waited += 20) {
        busy = connections_hush(listener->front.connections);
        if (!busy)
            break;
        nanosleep(&moment, NULL);
    }
    if (busy)
        log_event("stopping", "%u requests were cut off", busy);
    work_stop(listener->front.work); /* none may be suspended when the library stops */
    MHD_stop_daemon(listener->daemon);
    free_listener(listener);
}
