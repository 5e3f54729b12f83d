/* health.c - a read of the garden file, for whoever watches the daemon; and its figures. */
#include "api/health.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/backup.h"
#include "garden/backup.h"
#include "garden/standing.h"

struct health {
    const char *status, *version;
    struct list warnings;
};

static const struct field warning_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, .about = "backup_old, backup_failed, disk_full or file_damaged."}};
static const struct shape warning_shape = {.size = sizeof(const char *), .field = warning_field, .count = 1};

#define AT(member) offsetof(struct health, member)
static const struct field health_fields[] = {
    {"status", FIELD_TEXT, FIELD_REQUIRED, AT(status), .about = "ok: the garden file answers; look: it does, and somebody should see to the warnings."},
    {"version", FIELD_TEXT, FIELD_REQUIRED, AT(version), .about = "Of the daemon."},
    {"warnings", FIELD_LIST, FIELD_REQUIRED, AT(warnings), .shape = &warning_shape, .about = "What somebody should see to."},
};
#undef AT
const struct shape health_shape = {.name = "Health", .size = sizeof(struct health), .field = health_fields, .count = 3};

/* GET /healthz */
int health_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct health health = {"ok", VERSION, {NULL, 0}};
    struct backup_state state;

    if (backup_state(request->service->garden, request->now_ms, &state, request->arena, fault) ||
        backup_warnings(&state, &health.warnings, request->arena, fault))
        return -1;
    if (health.warnings.count)
        health.status = "look";
    return reply_json(reply, 200, shape_write(&health_shape, &health), fault);
}

/* ---- figures, in the text format 0.0.4 that Prometheus reads ---- */

static void figure(FILE *out, const char *name, const char *kind, const char *about, double value)
{
    fprintf(out, "# HELP %s %s\n# TYPE %s %s\n%s %.17g\n", name, about, name, kind, name, value);
}

struct counted {
    size_t tanks, sensors, behind;
};

static int count(struct request *request, struct counted *counted, struct fault *fault)
{
    struct garden *garden = request->service->garden;
    struct db *db = store_read(garden->store, fault);
    struct list marks, sensors;
    int32_t today;
    int failed;

    if (!db)
        return -1;
    failed = tanks_marks(db, &marks, request->arena, fault) || sensors_list(db, 0, INT64_MAX, &sensors, request->arena, fault);
    store_done(garden->store, db);
    if (failed || garden_today(garden, request->now_ms, &today, fault))
        return -1;
    *counted = (struct counted){marks.count, sensors.count, 0};
    for (size_t i = 0; i < marks.count; i++)
        counted->behind += standing_glance(garden, (const struct tank_mark *)marks.item + i, today).kept != STANDING_FRESH;
    return 0;
}

static void write_figures(FILE *out, struct request *request, const struct backup_state *state, const struct counted *counted)
{
    fprintf(out, "# HELP tidemark_info The daemon that answers.\n# TYPE tidemark_info gauge\ntidemark_info{version=\"%s\"} 1\n", VERSION);
    figure(out, "tidemark_tanks", "gauge", "Tanks in use.", (double)counted->tanks);
    figure(out, "tidemark_sensors", "gauge", "Sensors, revoked ones too.", (double)counted->sensors);
    figure(out, "tidemark_standings_behind", "gauge", "Tanks that are still to be worked out for today.", (double)counted->behind);
    figure(out, "tidemark_commits_total", "counter", "Durable commits since the start.", (double)store_version(request->service->garden->store));
    figure(out, "tidemark_writes_waiting", "gauge", "Writes that wait until the one under way is on the disk.", (double)store_waiting(request->service->garden->store));
    figure(out, "tidemark_garden_bytes", "gauge", "Size of the garden file.", (double)state->garden_bytes);
    figure(out, "tidemark_free_bytes", "gauge", "Room left on its disk, or on that of the copies, whichever is less.", (double)state->free_bytes);
    figure(out, "tidemark_backups", "gauge", "Copies in the folder of backups.", (double)state->files.count);
    if (state->last_ms != STORE_NO_INT)
        figure(out, "tidemark_backup_timestamp_seconds", "gauge", "When the last good copy was made.", (double)state->last_ms / 1000);
    figure(out, "tidemark_backup_old", "gauge", "1: the last good copy is older than it should be.", state->old);
    figure(out, "tidemark_backup_failed", "gauge", "1: the last planned copy failed.", state->failed);
    figure(out, "tidemark_disk_full", "gauge", "1: the disk is nearly full.", state->no_room);
    figure(out, "tidemark_file_damaged", "gauge", "1: the check after the start found the garden file damaged.", state->damaged);
}

/* GET /metrics */
int metrics_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct backup_state state;
    struct counted counted;
    char *text = NULL;
    FILE *out;

    if (backup_state(request->service->garden, request->now_ms, &state, request->arena, fault) || count(request, &counted, fault))
        return -1;
    out = open_memstream(&text, &reply->length);
    if (!out)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    write_figures(out, request, &state, &counted);
    if (fclose(out)) {
        free(text);
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    reply->bytes = text;
    reply->type = "text/plain; version=0.0.4; charset=utf-8";
    return 0;
}
