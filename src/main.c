/* main.c - options, signals, wiring. */
#include <errno.h>
#include <getopt.h>
#include <glob.h>
#include <jansson.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "api/answers.h"
#include "api/demo.h"
#include "api/request.h"
#include "api/words.h"
#include "door.h"
#include "format/qr.h"
#include "garden/backup.h"
#include "garden/garden.h"
#include "garden/people.h"
#include "garden/standing_keeper.h"
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
    struct backup_plan backups;
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
    "  --backup-dir DIR      make proven copies of the garden there by themselves\n"
    "  --backup-every HOURS  how often, default 24: at night, by the garden's clock\n"
    "  --backup-keep N       how many copies stay there, the newest ones; default 14\n"
    "  --backup-warn DAYS    warn when the last good copy is older, default 7; 0: never\n"
    "  --pool N              threads that answer, 2 to 64\n"
    "  --help, --version\n"
    "\n"
    "SIGTERM, SIGINT and SIGHUP end it: running requests are finished, the file is closed. The log goes to stderr.\n";

/* --- options ---------------------------------------------------------------------------------- */

enum {
    GIVEN_GARDEN = 256, GIVEN_LISTEN, GIVEN_WWW, GIVEN_DEMO, GIVEN_PAIR, GIVEN_HELP, GIVEN_VERSION,
    GIVEN_TLS_CERT, GIVEN_TLS_KEY, GIVEN_TRUSTED_PROXY, GIVEN_PUBLIC_URL, GIVEN_HOST, GIVEN_POOL,
    GIVEN_BACKUP_DIR, GIVEN_BACKUP_EVERY, GIVEN_BACKUP_KEEP, GIVEN_BACKUP_WARN
};

static const struct option long_options[] = {
    {"garden", required_argument, NULL, GIVEN_GARDEN},
    {"listen", required_argument, NULL, GIVEN_LISTEN},
    {"www", required_argument, NULL, GIVEN_WWW},
    {"demo", no_argument, NULL, GIVEN_DEMO},
    {"pair", required_argument, NULL, GIVEN_PAIR},
    {"help", no_argument, NULL, GIVEN_HELP},
    {"version", no_argument, NULL, GIVEN_VERSION},
    {"tls-cert", required_argument, NULL, GIVEN_TLS_CERT},
    {"tls-key", required_argument, NULL, GIVEN_TLS_KEY},
    {"trusted-proxy", required_argument, NULL, GIVEN_TRUSTED_PROXY},
    {"public-url", required_argument, NULL, GIVEN_PUBLIC_URL},
    {"host", required_argument, NULL, GIVEN_HOST},
    {"pool", required_argument, NULL, GIVEN_POOL},
    {"backup-dir", required_argument, NULL, GIVEN_BACKUP_DIR},
    {"backup-every", required_argument, NULL, GIVEN_BACKUP_EVERY},
    {"backup-keep", required_argument, NULL, GIVEN_BACKUP_KEEP},
    {"backup-warn", required_argument, NULL, GIVEN_BACKUP_WARN},
    {NULL, 0, NULL, 0},
};

static _Noreturn void refuse(const char *why, const char *what)
{
    fprintf(stderr, "tidemarkd: %s%s\nTry tidemarkd --help.\n", why, what);
    exit(2);
}

static unsigned read_number(const char *option, const char *text, unsigned least, unsigned most)
{
    char *end, why[80];
    unsigned long number = strtoul(text, &end, 10);

    snprintf(why, sizeof why, "%s takes a number from %u to %u, not ", option, least, most);
    if (*end || end == text || number < least || number > most)
        refuse(why, text);
    return (unsigned)number;
}

static void take(struct options *options, int which, const char *value)
{
    struct listen_options *listen = &options->listen;

    switch (which) {
    case GIVEN_GARDEN: options->garden = value; break;
    case GIVEN_LISTEN: listen->address = value; break;
    case GIVEN_WWW: listen->www = value; break;
    case GIVEN_DEMO: options->demo = true; break;
    case GIVEN_PAIR: options->pair = value; break;
    case GIVEN_TLS_CERT: listen->tls_cert = value; break;
    case GIVEN_TLS_KEY: listen->tls_key = value; break;
    case GIVEN_PUBLIC_URL: listen->public_url = value; break;
    case GIVEN_POOL: listen->pool = read_number("--pool", value, 2, 64); break;
    case GIVEN_BACKUP_DIR: options->backups.folder = value; break;
    case GIVEN_BACKUP_EVERY: options->backups.every_h = (int)read_number("--backup-every", value, 1, 720); break;
    case GIVEN_BACKUP_KEEP: options->backups.keep = read_number("--backup-keep", value, 1, 10000); break;
    case GIVEN_BACKUP_WARN: options->backups.warn_days = (int)read_number("--backup-warn", value, 0, 3650); break;
    case GIVEN_HOST:
        if (listen->hosts == HOSTS_MOST)
            refuse("too many --host", "");
        options->host[listen->hosts++] = value;
        break;
    case GIVEN_TRUSTED_PROXY:
        if (listen->trusted_proxies == PROXIES_MOST)
            refuse("too many --trusted-proxy", "");
        options->trusted_proxy[listen->trusted_proxies++] = value;
        break;
    case GIVEN_HELP:
        fputs(usage, stdout);
        exit(EXIT_SUCCESS);
    case GIVEN_VERSION:
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

    *options = (struct options){.backups = {.every_h = 24, .keep = 14, .warn_days = 7}, .listen = {.address = "127.0.0.1:8080", .www = TIDEMARK_WWW}};
    options->listen.host = options->host;
    options->listen.trusted_proxy = options->trusted_proxy;
    while ((which = getopt_long(argc, argv, "", long_options, NULL)) != -1)
        take(options, which, optarg);
    if (optind < argc)
        refuse("what is meant by ", argv[optind]);
    if (options->demo == (options->garden != NULL))
        refuse(options->demo ? "--demo has a garden of its own, leave --garden out" : "which garden? --garden FILE, or --demo", "");
    if (options->backups.folder && access(options->backups.folder, W_OK | X_OK))
        refuse("backups cannot be written into ", options->backups.folder);
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

/* With what lies beside it: SQLite's two files, and copies that were made. */
static void remove_demo_file(void)
{
    char pattern[320];
    glob_t found;

    snprintf(pattern, sizeof pattern, "%s*", demo_file);
    if (glob(pattern, GLOB_NOSORT, NULL, &found) == 0) {
        for (size_t i = 0; i < found.gl_pathc; i++)
            unlink(found.gl_pathv[i]);
        globfree(&found);
    }
    rmdir(demo_folder);
}

/* --- links for keepers ------------------------------------------------------------------------ */

struct house {
    struct garden *garden;
    const char *public_url; /* by option, or NULL */
    char address[200];      /* where the daemon listens, as others reach it */
};

/* "http://192.168.1.5:8080/pair.html#TOKEN": the address by option, by the garden's setting, else as we listen. */
static int write_link(const struct house *house, const char *token, char *text, size_t room, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct garden_row row;
    const char *base = house->public_url;
    size_t length;

    if (!base) {
        if (garden_settings(house->garden, &row, &arena, fault))
            return -1;
        base = row.public_url ? row.public_url : house->address;
    }
    length = strlen(base);
    while (length && base[length - 1] == '/')
        length--;
    snprintf(text, room, "%.*s/pair.html#%s", (int)length, base, token);
    return 0;
}

/* Makes an invite for a keeper and writes what the terminal shows. It is no line of the log: a log is kept and read by others. */
static int invite_keeper(const struct house *house, const char *name, char *text, size_t room, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct invite_made made;
    struct qr *qr = arena_take(&arena, sizeof *qr);
    char link[600], *drawn = NULL;

    if (people_host_invite(house->garden, name, &made, &arena, fault) || write_link(house, made.token, link, sizeof link, fault))
        return -1;
    if (qr && qr_make(link, qr, NULL) == 0)
        drawn = qr_terminal(qr);
    snprintf(text, room, "%s\nWhoever opens this first, within %d days, is a keeper of this garden:\n\n  %s\n%s\n", drawn ? drawn : "",
             INVITE_DAYS, link,
             strstr(link, "://127.") ? "\n  Only this machine can open it; for phones start with --listen :8080\n" : "");
    free(drawn);
    return 0;
}

/* What `tidemarkd --pair NAME` asks of the running daemon. */
static void answer_at_door(void *context, const char *asked, char *text, size_t room)
{
    struct fault fault = {0};

    if (invite_keeper(context, asked, text, room, &fault))
        snprintf(text, room, "tidemarkd: %s\n", fault.count ? fault.item[0].detail : "it failed");
    log_event("invite", "made for a keeper, from this machine");
}

/* As long as no keeper has a device, each start prints a link; the one before is void then. */
static int print_first_link(const struct house *house, struct fault *fault)
{
    char text[DOOR_TEXT];
    bool paired;

    if (people_keeper_paired(house->garden, &paired, fault))
        return -1;
    if (paired)
        return 0;
    if (invite_keeper(house, NULL, text, sizeof text, fault))
        return -1;
    fputs(text, stdout);
    fflush(stdout);
    return 0;
}

/* --- running ---------------------------------------------------------------------------------- */

/* Rendered answers that are kept: some 1,000 tanks' pages. */
#define ANSWERS_MOST ((size_t)24 << 20)

static int answer(struct service *service, const struct options *options, const char *door_name, const sigset_t *ends)
{
    struct house house = {service->garden, options->listen.public_url, ""};
    struct fault fault = {0};
    struct listener *listener;
    struct door *door = NULL;
    int caught;

    if (options->demo && demo_load(service, &fault))
        return report("cannot fill the demo", &fault);
    if (!options->demo)
        service->garden->backups = options->backups;
    if (backup_watch_start(service->garden, &fault))
        return report("cannot look after the garden file", &fault);
    if (standing_keeper_start(service->garden, &fault))
        return report("cannot read how the tanks stood", &fault);
    listener = listen_start(&options->listen, service, &fault);
    if (!listener)
        return report("cannot serve", &fault);
    snprintf(house.address, sizeof house.address, "%s", listen_reachable(listener));
    /* The first link before the door opens: it voids every link that this machine has made, also one asked for just now. */
    if (!options->demo && (print_first_link(&house, &fault) || !(door = door_open(door_name, answer_at_door, &house))))
        report("no link for a keeper", &fault);
    listen_say(listener);
    sigwait(ends, &caught);
    log_event("stopping", "%s", caught == SIGINT ? "interrupted" : "asked to");
    door_close(door);
    listen_stop(listener);
    return EXIT_SUCCESS;
}

static int serve(struct garden *garden, const struct options *options, const char *door_name, const sigset_t *ends)
{
    struct fault fault = {0};
    struct words *words = words_load(options->listen.www, &fault);
    struct service service = {
        .garden = garden,
        .public_url = options->listen.public_url,
        .www = options->listen.www,
        .words = words,
        .answers = answers_new(ANSWERS_MOST),
        .loopback_is_keeper = options->demo,
    };
    int status = words ? answer(&service, options, door_name, ends) : report("cannot read the pages", &fault);

    answers_free(service.answers);
    words_free(words);
    return status;
}

/* Nobody serves the garden just now: the link is for the next start. */
static int pair_alone(struct garden *garden, const struct options *options)
{
    struct house house = {garden, options->listen.public_url, ""};
    struct fault fault = {0};
    char text[DOOR_TEXT];

    listen_guess(options->listen.address, options->listen.tls_key != NULL, house.address, sizeof house.address);
    if (invite_keeper(&house, options->pair, text, sizeof text, &fault))
        return report("no link for a keeper", &fault);
    fputs(text, stdout);
    return EXIT_SUCCESS;
}

static int pair_by_door(const struct options *options, const char *door_name)
{
    struct fault fault = {0};
    char text[DOOR_TEXT];

    if (door_ask(door_name, options->pair, text, &fault))
        return report("no link for a keeper", &fault);
    fputs(text, stdout);
    return EXIT_SUCCESS;
}

static int run(const struct options *options, const sigset_t *ends)
{
    const char *file = options->demo ? demo_file : options->garden;
    char door_name[DOOR_NAME] = "";
    struct fault fault = {0};
    struct garden *garden;
    int status;

    if (door_lock(file, door_name, &fault))
        return options->pair && fault.code == FAULT_CONFLICT ? pair_by_door(options, door_name) : report("cannot open the garden", &fault);
    garden = garden_open(file, &fault);
    if (!garden)
        return report("cannot open the garden", &fault);
    status = options->pair ? pair_alone(garden, options) : serve(garden, options, door_name, ends);
    garden_close(garden);
    if (!options->pair)
        log_event("stopped", "the garden file is closed");
    return status;
}

/* Blocked before the first thread starts, so that all threads leave them to sigwait. */
static void block_signals(sigset_t *ends)
{
    sigemptyset(ends);
    sigaddset(ends, SIGTERM);
    sigaddset(ends, SIGINT);
    sigaddset(ends, SIGHUP);
    pthread_sigmask(SIG_BLOCK, ends, NULL);
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN); /* a file that may grow no further is an error of the write, not our end */
}

int main(int argc, char **argv)
{
    struct options options;
    sigset_t ends;
    int status;

    read_options(&options, argc, argv);
    umask(077); /* the file holds who was where when */
    block_signals(&ends);
    if (sodium_init() < 0) {
        log_event("failed", "no random numbers from the kernel");
        return EXIT_FAILURE;
    }
    json_object_seed(0);
    if (options.demo && make_demo_file())
        return EXIT_FAILURE;
    status = run(&options, &ends);
    if (options.demo)
        remove_demo_file();
    return status;
}
