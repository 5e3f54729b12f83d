/* main.c - options, signals, wiring. */
#include <errno.h>
#include <getopt.h>
#include <jansson.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "api/request.h"
#include "garden/garden.h"
#include "http/hosts.h"
#include "http/listen.h"
#include "http/log.h"

#ifndef TIDEMARK_WWW
#define TIDEMARK_WWW "www"
#endif

struct options {
    const char *garden, *pair;
    bool demo;
    struct listen_options listen;
    const char *host[HOSTS_MOST], *trusted_proxy[PROXIES_MOST];
};

static const char usage[] =
    "usage: tidemarkd --garden FILE [OPTION...]\n"
    "       tidemarkd --demo [OPTION...]\n"
    "       tidemarkd --garden FILE --pair NAME\n"
    "\n"
    "Keeps the log of a garden in FILE and serves its pages. FILE is made when it is not there.\n"
    "\n"
    "  --garden FILE         the garden file; all that must be backed up\n"
    "  --demo                an invented garden, thrown away at the end; whoever sits at this machine is its keeper\n"
    "  --pair NAME           print a link that makes the device that opens it a keeper's, under this member's name\n"
    "  --listen ADDR:PORT    default 127.0.0.1:8080: this machine only; \":8080\" or \"[::]:8080\" for the home network\n"
    "  --www DIR             folder of the pages, default " TIDEMARK_WWW "\n"
    "  --host NAME           one more name that this machine goes by; may be repeated\n"
    "  --public-url URL      where phones find it, for links and QR codes, like https://garden.example\n"
    "  --tls-cert FILE       certificate chain, PEM; with\n"
    "  --tls-key FILE        its key, PEM: speak HTTPS\n"
    "  --trusted-proxy ADDR  a reverse proxy, or a network like 10.0.0.0/8, whose X-Forwarded-For, -Proto and -Host\n"
    "                        are believed; may be repeated\n"
    "  --pool N              threads that answer, 2 to 64\n"
    "  --help, --version\n"
    "\n"
    "SIGTERM, SIGINT and SIGHUP end it: running requests are finished, the file is closed. The log goes to stderr.\n";

/* --- options ---------------------------------------------------------------------------------- */

enum { GARDEN = 256, LISTEN, WWW, DEMO, PAIR, HELP, VERSION, TLS_CERT, TLS_KEY, TRUSTED_PROXY, PUBLIC_URL, HOST, POOL };

static const struct option long_options[] = {
    {"garden", required_argument, NULL, GARDEN},
    {"listen", required_argument, NULL, LISTEN},
    {"www", required_argument, NULL, WWW},
    {"demo", no_argument, NULL, DEMO},
    {"pair", required_argument, NULL, PAIR},
    {"help", no_argument, NULL, HELP},
    {"version", no_argument, NULL, VERSION},
    {"tls-cert", required_argument, NULL, TLS_CERT},
    {"tls-key", required_argument, NULL, TLS_KEY},
    {"trusted-proxy", required_argument, NULL, TRUSTED_PROXY},
    {"public-url", required_argument, NULL, PUBLIC_URL},
    {"host", required_argument, NULL, HOST},
    {"pool", required_argument, NULL, POOL},
    {NULL, 0, NULL, 0},
};

static _Noreturn void refuse(const char *why, const char *what)
{
    fprintf(stderr, "tidemarkd: %s%s\nTry tidemarkd --help.\n", why, what);
    exit(2);
}

static unsigned read_pool(const char *text)
{
    char *end;
    unsigned long pool = strtoul(text, &end, 10);

    if (*end || end == text || pool < 2 || pool > 64)
        refuse("--pool takes a number from 2 to 64, not ", text);
    return (unsigned)pool;
}

static void take(struct options *options, int which, const char *value)
{
    struct listen_options *listen = &options->listen;

    switch (which) {
    case GARDEN: options->garden = value; break;
    case LISTEN: listen->address = value; break;
    case WWW: listen->www = value; break;
    case DEMO: options->demo = true; break;
    case PAIR: options->pair = value; break;
    case TLS_CERT: listen->tls_cert = value; break;
    case TLS_KEY: listen->tls_key = value; break;
    case PUBLIC_URL: listen->public_url = value; break;
    case POOL: listen->pool = read_pool(value); break;
    case HOST:
        if (listen->hosts == HOSTS_MOST)
            refuse("too many --host", "");
        options->host[listen->hosts++] = value;
        break;
    case TRUSTED_PROXY:
        if (listen->trusted_proxies == PROXIES_MOST)
            refuse("too many --trusted-proxy", "");
        options->trusted_proxy[listen->trusted_proxies++] = value;
        break;
    case HELP:
        fputs(usage, stdout);
        exit(EXIT_SUCCESS);
    case VERSION:
        puts("tidemarkd " PACKAGE_VERSION);
        exit(EXIT_SUCCESS);
    default: /* getopt_long has said what is wrong */
        fputs("Try tidemarkd --help.\n", stderr);
        exit(2);
    }
}

static void read_options(struct options *options, int argc, char **argv)
{
    int which;

    *options = (struct options){.listen = {.address = "127.0.0.1:8080", .www = TIDEMARK_WWW}};
    options->listen.host = options->host;
    options->listen.trusted_proxy = options->trusted_proxy;
    while ((which = getopt_long(argc, argv, "", long_options, NULL)) != -1)
        take(options, which, optarg);
    if (optind < argc)
        refuse("what is meant by ", argv[optind]);
    if (options->demo == (options->garden != NULL))
        refuse(options->demo ? "--demo has a garden of its own, leave --garden out" : "which garden? --garden FILE, or --demo", "");
    if (options->demo && options->pair)
        refuse("the keeper of an invented garden is whoever sits here: no --pair with --demo", "");
}

/* --- the garden ------------------------------------------------------------------------------- */

static int report(const char *doing, const struct fault *fault)
{
    for (size_t i = 0; i < fault->count; i++)
        log_event("failed", "%s: %s", doing, fault->item[i].detail);
    return EXIT_FAILURE;
}

/* A folder for the demo's file, gone with it. */
static char demo_folder[256], demo_file[300];

static int make_demo_file(void)
{
    const char *top = getenv("TMPDIR");

    snprintf(demo_folder, sizeof demo_folder, "%s/tidemark-demo-XXXXXX", top && strlen(top) < 200 ? top : "/tmp");
    if (!mkdtemp(demo_folder)) {
        log_event("failed", "%s: %s", demo_folder, strerror(errno));
        return -1;
    }
    snprintf(demo_file, sizeof demo_file, "%s/demo.garden", demo_folder);
    return 0;
}

static void remove_demo_file(void)
{
    static const char *const endings[] = {"", "-wal", "-shm"};
    char name[320];

    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++) {
        snprintf(name, sizeof name, "%s%s", demo_file, endings[i]);
        unlink(name);
    }
    rmdir(demo_folder);
}

static int serve(struct garden *garden, const struct options *options, const sigset_t *ends)
{
    struct service service = {
        .garden = garden,
        .public_url = options->listen.public_url,
        .www = options->listen.www,
        .loopback_is_keeper = options->demo,
    };
    struct fault fault = {0};
    struct listener *listener = listen_start(&options->listen, &service, &fault);
    int caught;

    if (!listener)
        return report("cannot serve", &fault);
    sigwait(ends, &caught);
    log_event("stopping", "%s", caught == SIGINT ? "interrupted" : "asked to");
    listen_stop(listener);
    return EXIT_SUCCESS;
}

int main(int argc, char **argv)
{
    struct options options;
    struct fault fault = {0};
    struct garden *garden;
    sigset_t ends;
    int status;

    read_options(&options, argc, argv);
    umask(077); /* the file holds who was where when */
    /* Blocked before the first thread starts, so that all threads leave them to sigwait. */
    sigemptyset(&ends);
    sigaddset(&ends, SIGTERM);
    sigaddset(&ends, SIGINT);
    sigaddset(&ends, SIGHUP);
    pthread_sigmask(SIG_BLOCK, &ends, NULL);
    signal(SIGPIPE, SIG_IGN);
    if (sodium_init() < 0) {
        log_event("failed", "no random numbers from the kernel");
        return EXIT_FAILURE;
    }
    json_object_seed(0);
    if (options.demo && make_demo_file())
        return EXIT_FAILURE;
    garden = garden_open(options.demo ? demo_file : options.garden, &fault);
    if (garden) {
        status = serve(garden, &options, &ends);
        garden_close(garden);
        log_event("stopped", "the garden file is closed");
    } else {
        status = report("cannot open the garden", &fault);
    }
    if (options.demo)
        remove_demo_file();
    return status;
}
