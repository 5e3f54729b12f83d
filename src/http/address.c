/* address.c - addresses of peers, and which of them are proxies that we believe. */
#include "http/address.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>

static const unsigned char mapped[12] = {0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xff, 0xff};

bool address_of(struct address *address, const struct sockaddr *from)
{
    if (from->sa_family == AF_INET) {
        memcpy(address->byte, mapped, 12);
        memcpy(address->byte + 12, &((const struct sockaddr_in *)from)->sin_addr, 4);
        return true;
    }
    if (from->sa_family == AF_INET6) {
        memcpy(address->byte, &((const struct sockaddr_in6 *)from)->sin6_addr, 16);
        return true;
    }
    return false;
}

bool address_read(struct address *address, const char *text, size_t length)
{
    char copy[ADDRESS_TEXT];

    if (length >= 2 && text[0] == '[' && text[length - 1] == ']') {
        text++;
        length -= 2;
    }
    if (length >= sizeof copy)
        return false;
    memcpy(copy, text, length);
    copy[length] = '\0';
    if (inet_pton(AF_INET6, copy, address->byte) == 1)
        return true;
    memcpy(address->byte, mapped, 12);
    return inet_pton(AF_INET, copy, address->byte + 12) == 1;
}

static bool is_v4(const struct address *address)
{
    return memcmp(address->byte, mapped, 12) == 0;
}

char *address_text(const struct address *address, char text[ADDRESS_TEXT])
{
    if (is_v4(address))
        inet_ntop(AF_INET, address->byte + 12, text, ADDRESS_TEXT);
    else
        inet_ntop(AF_INET6, address->byte, text, ADDRESS_TEXT);
    return text;
}

bool address_same(const struct address *a, const struct address *b)
{
    return memcmp(a->byte, b->byte, sizeof a->byte) == 0;
}

bool address_is_loopback(const struct address *address)
{
    static const struct address one = {{[15] = 1}};

    return address_same(address, &one) || (is_v4(address) && address->byte[12] == 127);
}

int proxies_add(struct proxies *proxies, const char *text, struct fault *fault)
{
    const char *slash = strchr(text, '/');
    size_t length = slash ? (size_t)(slash - text) : strlen(text);
    struct network network = {.bits = 128};
    unsigned long most, bits;
    char *end;

    if (!address_read(&network.address, text, length))
        return fault_add(fault, FAULT_INPUT, "", "a trusted proxy is an address like 192.168.1.2 or 10.0.0.0/8, not %s", text);
    most = is_v4(&network.address) ? 32 : 128;
    if (slash) {
        bits = strtoul(slash + 1, &end, 10);
        if (slash[1] < '0' || slash[1] > '9' || *end || bits > most)
            return fault_add(fault, FAULT_INPUT, "", "after the slash of a trusted proxy stands 0 to %lu, not %s", most, slash + 1);
        network.bits = (unsigned)(bits + 128 - most);
    }
    if (proxies->count == PROXIES_MOST)
        return fault_add(fault, FAULT_INPUT, "", "at most %d trusted proxies", PROXIES_MOST);
    proxies->network[proxies->count++] = network;
    return 0;
}

bool proxies_trust(const struct proxies *proxies, const struct address *address)
{
    for (size_t i = 0; i < proxies->count; i++) {
        const struct network *network = &proxies->network[i];
        size_t whole = network->bits / 8;
        unsigned rest = network->bits % 8;

        if (memcmp(network->address.byte, address->byte, whole) == 0 &&
            (rest == 0 || (network->address.byte[whole] ^ address->byte[whole]) >> (8 - rest) == 0))
            return true;
    }
    return false;
}

bool proxies_client(const struct proxies *proxies, const char *forwarded_for, struct address *client)
{
    const char *end = forwarded_for + strlen(forwarded_for);

    while (end > forwarded_for) {
        const char *from = end, *to = end;

        while (from > forwarded_for && from[-1] != ',')
            from--;
        end = from > forwarded_for ? from - 1 : from;
        while (from < to && (*from == ' ' || *from == '\t'))
            from++;
        while (to > from && (to[-1] == ' ' || to[-1] == '\t'))
            to--;
        if (!address_read(client, from, (size_t)(to - from)))
            return false;
        if (!proxies_trust(proxies, client))
            return true;
    }
    return false;
}
