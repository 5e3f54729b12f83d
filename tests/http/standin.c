/* standin.c - what stands behind the listener in its tests. Any path tells how its request came in; /api/slow
 * takes 300 ms, /api/large answers with 4 MB, /api/headers with a cookie and a tag. */
#include "http/standin.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "api/request.h"

struct listener *standin;
_Atomic int standin_asked;

static char folder[4096];

static const char *or_none(const char *text)
{
    return text ? text : "none";
}

static void echo(const struct request *request, struct reply *reply)
{
    size_t room = request->body_length + 8192;

    reply->bytes = malloc(room);
    reply->length = (size_t)snprintf(
        reply->bytes, room, "method %s\npath %s\nquery %s\nhost %s\norigin %s\npeer %s\nloopback %d\nsecure %d\ncookie %s\nbody %zu %s\n",
        request->method, request->path, request->query, or_none(request->host), or_none(request->origin), request->peer,
        request->from_loopback, request->secure, or_none(request->cookie), request->body_length, request->body);
    reply->type = "text/plain";
}

void api_answer(struct request *request, struct reply *reply)
{
    const struct timespec wait = {.tv_nsec = 300000000};

    standin_asked++;
    if (strcmp(request->path, "/api/large") == 0) {
        reply->length = (size_t)4 << 20;
        reply->bytes = calloc(1, reply->length);
        return;
    }
    if (strcmp(request->path, "/api/slow") == 0)
        nanosleep(&wait, NULL);
    if (strcmp(request->path, "/api/headers") == 0) {
        reply->status = 201;
        reply->etag = "\"one\"";
        reply->header[0] = (struct reply_header){"Set-Cookie", "a=b"};
        reply->header[1] = (struct reply_header){"Cache-Control", "private"};
        reply->headers = 2;
    }
    echo(request, reply);
}

/* As if /api/import took more from one who shows a cookie. */
size_t api_body_most(struct request *request)
{
    return request->cookie && strcmp(request->path, "/api/import") == 0 ? (size_t)1 << 20 : API_BODY_MOST;
}

FILE *api_body_file(struct request *request, struct fault *fault)
{
    (void)request, (void)fault;
    return NULL;
}

void reply_end(struct reply *reply)
{
    free(reply->bytes);
}

static void make_folder(void)
{
    const char *top = getenv("TIDEMARK_BUILDDIR");

    if (folder[0])
        return;
    snprintf(folder, sizeof folder, "%s/test-www-%ld", top ? top : ".", (long)getpid());
    ck_assert_int_eq(mkdir(folder, 0700), 0);
}

void standin_page(const char *name, const char *content)
{
    char path[4400];
    FILE *stream;

    make_folder();
    snprintf(path, sizeof path, "%s/%s", folder, name);
    for (char *slash = strchr(path + strlen(folder) + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        mkdir(path, 0700);
        *slash = '/';
    }
    stream = fopen(path, "w");
    ck_assert_ptr_nonnull(stream);
    fputs(content, stream);
    fclose(stream);
}

unsigned standin_start(const struct listen_options *options)
{
    static struct service service;
    struct listen_options full = options ? *options : (struct listen_options){.pool = 0};
    struct fault fault = {0};

    make_folder();
    full.address = full.address ? full.address : "127.0.0.1:0";
    full.www = full.www ? full.www : folder;
    standin = listen_start(&full, &service, &fault);
    ck_assert_msg(standin != NULL, "%s", fault.item[0].detail);
    return listen_port(standin);
}

void standin_stop(void)
{
    char command[4400];

    listen_stop(standin);
    standin = NULL;
    if (folder[0]) {
        snprintf(command, sizeof command, "rm -rf '%s'", folder);
        ck_assert_int_eq(system(command), 0);
        folder[0] = '\0';
    }
}
