/* door.c - one daemon a garden file, and a door for whoever runs it. */
#define _GNU_SOURCE /* struct ucred */
#include "door.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

int door_lock(const char *garden, char name[DOOR_NAME], struct fault *fault)
{
    struct stat about;
    int fd = open(garden, O_RDWR | O_CREAT | O_CLOEXEC, 0600);

    if (fd < 0 && (errno == EROFS || errno == EACCES))
        fd = open(garden, O_RDONLY | O_CLOEXEC);
    if (fd < 0 || fstat(fd, &about)) {
        fault_add(fault, FAULT_STORE, "", "%s: %s", garden, strerror(errno));
        if (fd >= 0)
            close(fd);
        return -1;
    }
    snprintf(name, DOOR_NAME, "tidemark-%llx-%llx", (unsigned long long)about.st_dev, (unsigned long long)about.st_ino);
    if (flock(fd, LOCK_EX | LOCK_NB) && errno == EWOULDBLOCK) {
        close(fd); /* SQLite has not opened it in this process */
        return fault_add(fault, FAULT_CONFLICT, "", "%s is in use by another tidemarkd", garden);
    }
    return 0; /* the lock ends with the process */
}

/* A name that is in no folder: nothing to clean up, and it goes with the process. */
static socklen_t address_of(const char *name, struct sockaddr_un *address)
{
    *address = (struct sockaddr_un){.sun_family = AF_UNIX};
    memcpy(address->sun_path + 1, name, strlen(name));
    return (socklen_t)(offsetof(struct sockaddr_un, sun_path) + 1 + strlen(name));
}

/* Reads until the other side has said all, or has nothing more to say for two seconds. */
static void read_text(int fd, char *text, size_t room)
{
    const struct timeval patience = {.tv_sec = 2};
    size_t length = 0;
    ssize_t got;

    setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    while (length < room - 1 && (got = recv(fd, text + length, room - 1 - length, 0)) > 0)
        length += (size_t)got;
    text[length] = '\0';
}

static void write_text(int fd, const char *text)
{
    size_t length = strlen(text);

    while (length > 0) {
        ssize_t done = send(fd, text, length, MSG_NOSIGNAL);

        if (done <= 0)
            return;
        text += done;
        length -= (size_t)done;
    }
}

struct door {
    int fd;
    pthread_t thread;
    door_answer *answer;
    void *context;
};

static int may_ask(int fd)
{
    struct ucred who;
    socklen_t size = sizeof who;

    return getsockopt(fd, SOL_SOCKET, SO_PEERCRED, &who, &size) == 0 && (who.uid == 0 || who.uid == geteuid());
}

static void *answer_all(void *context)
{
    struct door *door = context;
    char asked[1024], text[DOOR_TEXT];
    int fd;

    for (;;) {
        fd = accept(door->fd, NULL, NULL);
        if (fd < 0 && errno == EINVAL)
            return NULL; /* shut down */
        if (fd < 0) {
            nanosleep(&(struct timespec){.tv_nsec = 100000000}, NULL); /* no descriptor left, or somebody who went again */
            continue;
        }
        if (may_ask(fd)) {
            read_text(fd, asked, sizeof asked);
            text[0] = '\0';
            door->answer(door->context, asked, text, sizeof text);
            write_text(fd, text);
        }
        close(fd);
    }
}

struct door *door_open(const char *name, door_answer *answer, void *context)
{
    struct door *door = calloc(1, sizeof *door);
    struct sockaddr_un address;
    socklen_t length = address_of(name, &address);

    if (!door)
        return NULL;
    *door = (struct door){.fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0), .answer = answer, .context = context};
    if (door->fd >= 0 && bind(door->fd, (struct sockaddr *)&address, length) == 0 && listen(door->fd, 4) == 0 &&
        pthread_create(&door->thread, NULL, answer_all, door) == 0)
        return door;
    if (door->fd >= 0)
        close(door->fd);
    free(door);
    return NULL;
}

void door_close(struct door *door)
{
    if (!door)
        return;
    shutdown(door->fd, SHUT_RDWR); /* accept ends with EINVAL */
    pthread_join(door->thread, NULL);
    close(door->fd);
    free(door);
}

int door_ask(const char *name, const char *asked, char text[DOOR_TEXT], struct fault *fault)
{
    struct sockaddr_un address;
    socklen_t length = address_of(name, &address);
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);

    text[0] = '\0';
    if (fd >= 0 && connect(fd, (struct sockaddr *)&address, length) == 0) {
        write_text(fd, asked);
        shutdown(fd, SHUT_WR);
        read_text(fd, text, DOOR_TEXT);
    }
    if (fd >= 0)
        close(fd);
    return text[0] ? 0 : fault_add(fault, FAULT_STORE, "", "the tidemarkd that has the garden does not answer; are you its user?");
}
