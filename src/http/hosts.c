/* hosts.c - the names that this daemon answers to. */
#include "http/hosts.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* The name in "NAME", "NAME:PORT" or "[ADDRESS]:PORT", in lower case, without a dot at its end; false when it is none. */
static bool name_of(const char *host, char name[256])
{
    size_t length = host[0] == '[' ? strcspn(host, "]") + 1 : strcspn(host, ":");
    size_t digits;

    if (length == 0 || length > strlen(host) || length > 254)
        return false;
    if (host[length] == ':') {
        digits = strspn(host + length + 1, "0123456789");
        if (digits > 5 || host[length + 1 + digits])
            return false;
    } else if (host[length]) {
        return false;
    }
    for (size_t i = 0; i < length; i++)
        name[i] = lower(host[i]);
    if (length > 1 && name[length - 1] == '.')
        length--;
    name[length] = '\0';
    return true;
}

static void add(struct hosts *hosts, const char *name)
{
    if (hosts->count < HOSTS_MOST && name[0])
        name_of(name, hosts->name[hosts->count++]);
}

void hosts_start(struct hosts *hosts)
{
    char name[200] = "", local[220];

    *hosts = (struct hosts){.count = 0};
    add(hosts, "localhost");
    if (gethostname(name, sizeof name - 1) || !name[0])
        return;
    add(hosts, name);
    name[strcspn(name, ".")] = '\0';
    snprintf(local, sizeof local, "%s.local", name);
    add(hosts, local);
}

int hosts_add(struct hosts *hosts, const char *name, struct fault *fault)
{
    char checked[256];

    if (!name_of(name, checked) || strpbrk(checked, "/@ \t%?#\\"))
        return fault_add(fault, FAULT_INPUT, "", "a host is a name like garden.home.arpa or an address, not %s", name);
    if (hosts->count == HOSTS_MOST)
        return fault_add(fault, FAULT_INPUT, "", "at most %d names", HOSTS_MOST);
    strcpy(hosts->name[hosts->count++], checked);
    return 0;
}

int hosts_add_public(struct hosts *hosts, const char *url, struct fault *fault)
{
    const char *rest = strstr(url, "://");
    char host[256];
    size_t length;

    if (!rest || (strncmp(url, "http://", 7) != 0 && strncmp(url, "https://", 8) != 0))
        return fault_add(fault, FAULT_INPUT, "", "the public address begins with http:// or https://, not %s", url);
    rest += 3;
    length = strcspn(rest, "/?#");
    if (rest[length] && strcmp(rest + length, "/") != 0)
        return fault_add(fault, FAULT_INPUT, "", "the public address ends after its host: %s", url);
    if (length >= sizeof host)
        return fault_add(fault, FAULT_INPUT, "", "the public address is too long");
    memcpy(host, rest, length);
    host[length] = '\0';
    if (hosts_add(hosts, host, fault))
        return -1;
    hosts->public_host = hosts->name[hosts->count - 1];
    return 0;
}

bool hosts_know(const struct hosts *hosts, const char *host, const struct address *own)
{
    struct address literal;
    char name[256];

    if (!name_of(host, name))
        return false;
    for (size_t i = 0; i < hosts->count; i++)
        if (strcmp(hosts->name[i], name) == 0)
            return true;
    return address_read(&literal, name, strlen(name)) && address_same(&literal, own);
}

bool hosts_is_loopback(const char *host)
{
    struct address literal;
    char name[256];

    if (!name_of(host, name))
        return false;
    return strcmp(name, "localhost") == 0 || (address_read(&literal, name, strlen(name)) && address_is_loopback(&literal));
}

bool hosts_is_public(const struct hosts *hosts, const char *host)
{
    char name[256];

    return hosts->public_host && name_of(host, name) && strcmp(name, hosts->public_host) == 0;
}
