/* feeds.c - calendar feeds: making, listing, revoking, asking. */
#include "garden/feeds.h"

#include "garden/clock.h"
#include "garden/resend.h"

struct feed_job {
    struct feed_row *feed;
    const struct who *who;
    const char *id;
    int64_t now_ms;
    struct arena *arena;
};

static int add_feed(struct db *db, void *context, struct fault *fault)
{
    struct feed_job *job = context;

    return feed_rows_add(db, job->feed, fault);
}

int garden_feed_add(struct garden *garden, const struct who *who, const char *name, int64_t now_ms, struct feed_row *feed,
                    char key[TOKEN_TEXT], struct arena *arena, struct fault *fault)
{
    struct feed_job job = {.feed = feed};

    *feed = (struct feed_row){.name = name,
                              .member_key = who->member ? who->member : STORE_NO_INT,
                              .member = who->member_id,
                              .member_removed_ms = STORE_NO_INT,
                              .made_ms = now_ms,
                              .last_used_ms = STORE_NO_INT,
                              .revoked_ms = STORE_NO_INT};
    token_make(key, feed->hash);
    return resend_give_id(&feed->id, arena, fault) || store_write(garden->store, add_feed, &job, fault) ? -1 : 0;
}

/* Who sits at the machine itself is no member; what was made there is theirs. */
static bool owns(const struct who *who, const struct feed_row *feed)
{
    return who->role == ROLE_KEEPER || feed->member_key == (who->member ? who->member : STORE_NO_INT);
}

int garden_feeds(struct garden *garden, const struct who *who, struct list *feeds, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || feed_rows_list(db, feeds, arena, fault);
    struct feed_row *feed;
    size_t kept = 0;

    store_done(garden->store, db);
    if (failed)
        return -1;
    feed = feeds->item;
    for (size_t i = 0; i < feeds->count; i++)
        if (owns(who, &feed[i]))
            feed[kept++] = feed[i];
    feeds->count = kept;
    return 0;
}

static int revoke_feed(struct db *db, void *context, struct fault *fault)
{
    struct feed_job *job = context;
    struct feed_row feed;
    int found = feed_rows_one(db, job->id, &feed, job->arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such feed");
    if (!owns(job->who, &feed))
        return fault_add(fault, FAULT_DENIED, "", "it is somebody else's; a keeper may revoke it");
    return feed_rows_revoke(db, feed.key, job->now_ms, fault);
}

int garden_feed_revoke(struct garden *garden, const struct who *who, const char *id, int64_t now_ms, struct arena *arena,
                       struct fault *fault)
{
    struct feed_job job = {.who = who, .id = id, .now_ms = now_ms, .arena = arena};

    return store_write(garden->store, revoke_feed, &job, fault);
}

static int note_use(struct db *db, void *context, struct fault *fault)
{
    struct feed_job *job = context;

    return feed_rows_used(db, job->feed->key, job->now_ms, fault);
}

int garden_feed_may(struct garden *garden, const char *key, int64_t now_ms, struct arena *arena, struct fault *fault)
{
    unsigned char hash[MEMBER_HASH];
    struct feed_row feed;
    struct feed_job job = {.feed = &feed, .now_ms = now_ms};
    struct db *db;
    int found;

    if (!token_read(key, hash))
        return 0;
    db = store_read(garden->store, fault);
    found = db ? feed_rows_by_hash(db, hash, &feed, arena, fault) : -1;
    store_done(garden->store, db);
    if (found != 1)
        return found;
    if (feed.revoked_ms != STORE_NO_INT || feed.member_removed_ms != STORE_NO_INT)
        return 0;
    if (feed.last_used_ms == STORE_NO_INT || now_ms - feed.last_used_ms > DAY_MS)
        return store_write(garden->store, note_use, &job, fault) ? -1 : 1;
    return 1;
}
