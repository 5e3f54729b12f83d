/* gardens.c - the garden's own row, its climate and its weather. */
#include "store/gardens.h"

#include "store/rows.h"
#include "store/tanks.h"

enum { READ, WRITE, MONTHS, DROP_MONTHS, ADD_MONTH, WEATHER_PUT, WEATHER_LIST };

const struct query gardens_queries[] = {
    [READ] = {"garden_read",
              "SELECT uid, name, time_zone, latitude_deg, elevation_m, place, indoor_temperature_c, indoor_rh_percent, "
              "indoor_ppfd_umol, indoor_hours, length_unit, volume_unit, temperature_unit, mass_unit, language, public_url, "
              "label_shows, made_ms, lamp_w, records_members FROM garden WHERE one = 1"},
    [WRITE] = {"garden_write",
               "INSERT OR REPLACE INTO garden (one, uid, name, time_zone, latitude_deg, elevation_m, place, indoor_temperature_c, "
               "indoor_rh_percent, indoor_ppfd_umol, indoor_hours, length_unit, volume_unit, temperature_unit, mass_unit, language, "
               "public_url, label_shows, made_ms, lamp_w, records_members) VALUES (1, :uid, :name, :time_zone, :latitude, :elevation, :place, "
               ":indoor_temperature, :indoor_rh, :indoor_ppfd, :indoor_hours, :length_unit, :volume_unit, :temperature_unit, "
               ":mass_unit, :language, :public_url, :label_shows, :made_ms, :lamp_w, :records_members)"},
    [MONTHS] = {"garden_months", "SELECT tmin_c, tmax_c, rh_percent, wind_m_s, sunshine_h FROM garden_month ORDER BY month"},
    [DROP_MONTHS] = {"garden_drop_months", "DELETE FROM garden_month"},
    [ADD_MONTH] = {"garden_add_month",
                   "INSERT INTO garden_month (month, tmin_c, tmax_c, rh_percent, wind_m_s, sunshine_h) "
                   "VALUES (:month, :tmin, :tmax, :rh, :wind, :sunshine)"},
    [WEATHER_PUT] = {"weather_put",
                     "INSERT OR REPLACE INTO weather (day, tmin_c, tmax_c, rh_percent, wind_m_s, sunshine_h, solar_mj_m2, rain_mm) "
                     "VALUES (:day, :tmin, :tmax, :rh, :wind, :sunshine, :solar, :rain)"},
    [WEATHER_LIST] = {"weather_list",
                      "SELECT day, tmin_c, tmax_c, rh_percent, wind_m_s, sunshine_h, solar_mj_m2, rain_mm FROM weather "
                      "WHERE day BETWEEN :first AND :last ORDER BY day LIMIT :limit"},
};
const size_t gardens_queries_count = sizeof gardens_queries / sizeof *gardens_queries;

static void read_month(struct row *row, void *into)
{
    struct month_row *month = into;

    *month = (struct month_row){
        .tmin_c = stmt_get_real(row->stmt, 0),
        .tmax_c = stmt_get_real(row->stmt, 1),
        .rh_percent = stmt_get_real(row->stmt, 2),
        .wind_m_s = stmt_get_real(row->stmt, 3),
        .sunshine_h = stmt_get_real(row->stmt, 4),
    };
}

static int read_months(struct db *db, struct list *months, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &gardens_queries[MONTHS], fault);

    return stmt ? rows_all(stmt, read_month, sizeof(struct month_row), months, arena, fault) : -1;
}

int gardens_read(struct db *db, struct garden_row *garden, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &gardens_queries[READ], fault);
    int found;

    if (!stmt)
        return -1;
    found = stmt_step(stmt, fault);
    if (found != 1)
        return found;
    *garden = (struct garden_row){
        .id = arena_text(arena, stmt_get_text(stmt, 0)),
        .name = arena_text(arena, stmt_get_text(stmt, 1)),
        .time_zone = arena_text(arena, stmt_get_text(stmt, 2)),
        .latitude_deg = stmt_get_real(stmt, 3),
        .elevation_m = stmt_get_real(stmt, 4),
        .place = (int)stmt_get_int(stmt, 5),
        .indoor_temperature_c = stmt_get_real(stmt, 6),
        .indoor_rh_percent = stmt_get_real(stmt, 7),
        .indoor_ppfd_umol = stmt_get_real(stmt, 8),
        .indoor_hours = stmt_get_real(stmt, 9),
        .length_unit = (int)stmt_get_int(stmt, 10),
        .volume_unit = (int)stmt_get_int(stmt, 11),
        .temperature_unit = (int)stmt_get_int(stmt, 12),
        .mass_unit = (int)stmt_get_int(stmt, 13),
        .language = (int)stmt_get_int(stmt, 14),
        .public_url = arena_text(arena, stmt_get_text(stmt, 15)),
        .label_shows = (int)stmt_get_int(stmt, 16),
        .made_ms = stmt_get_int(stmt, 17),
        .lamp_w = stmt_get_real(stmt, 18),
        .records_members = stmt_get_int(stmt, 19) != 0,
    };
    if (!garden->id || !garden->name || !garden->time_zone)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return read_months(db, &garden->months, arena, fault) ? -1 : 1;
}

static int write_months(struct db *db, const struct list *months, struct fault *fault)
{
    STMT_HELD *drop = stmt_take(db, &gardens_queries[DROP_MONTHS], fault);
    const struct month_row *month = months->item;

    if (!drop || stmt_run(drop, fault))
        return -1;
    for (size_t i = 0; i < months->count; i++) {
        STMT_HELD *add = stmt_take(db, &gardens_queries[ADD_MONTH], fault);

        if (!add)
            return -1;
        stmt_int(add, ":month", (int64_t)i + 1);
        stmt_real(add, ":tmin", month[i].tmin_c);
        stmt_real(add, ":tmax", month[i].tmax_c);
        stmt_real(add, ":rh", month[i].rh_percent);
        stmt_real(add, ":wind", month[i].wind_m_s);
        stmt_real(add, ":sunshine", month[i].sunshine_h);
        if (stmt_run(add, fault))
            return -1;
    }
    return 0;
}

int gardens_write(struct db *db, const struct garden_row *garden, struct fault *fault)
{
    STMT_HELD *write = stmt_take(db, &gardens_queries[WRITE], fault);

    if (!write)
        return -1;
    stmt_text(write, ":uid", garden->id);
    stmt_text(write, ":name", garden->name);
    stmt_text(write, ":time_zone", garden->time_zone);
    stmt_real(write, ":latitude", garden->latitude_deg);
    stmt_real(write, ":elevation", garden->elevation_m);
    stmt_int(write, ":place", garden->place);
    stmt_real(write, ":indoor_temperature", garden->indoor_temperature_c);
    stmt_real(write, ":indoor_rh", garden->indoor_rh_percent);
    stmt_real(write, ":indoor_ppfd", garden->indoor_ppfd_umol);
    stmt_real(write, ":indoor_hours", garden->indoor_hours);
    stmt_int(write, ":length_unit", garden->length_unit);
    stmt_int(write, ":volume_unit", garden->volume_unit);
    stmt_int(write, ":temperature_unit", garden->temperature_unit);
    stmt_int(write, ":mass_unit", garden->mass_unit);
    stmt_int(write, ":language", garden->language);
    stmt_text(write, ":public_url", garden->public_url);
    stmt_int(write, ":label_shows", garden->label_shows);
    stmt_int(write, ":made_ms", garden->made_ms);
    stmt_real(write, ":lamp_w", garden->lamp_w);
    stmt_int(write, ":records_members", garden->records_members);
    if (stmt_run(write, fault) || write_months(db, &garden->months, fault))
        return -1;
    return tanks_touch(db, STORE_NO_INT, fault); /* the climate has changed under them */
}

int weather_put(struct db *db, const struct weather_row *weather, struct fault *fault)
{
    STMT_HELD *put = stmt_take(db, &gardens_queries[WEATHER_PUT], fault);

    if (!put)
        return -1;
    stmt_int(put, ":day", weather->day);
    stmt_real(put, ":tmin", weather->tmin_c);
    stmt_real(put, ":tmax", weather->tmax_c);
    stmt_real(put, ":rh", weather->rh_percent);
    stmt_real(put, ":wind", weather->wind_m_s);
    stmt_real(put, ":sunshine", weather->sunshine_h);
    stmt_real(put, ":solar", weather->solar_mj_m2);
    stmt_real(put, ":rain", weather->rain_mm);
    return stmt_run(put, fault);
}

static void read_weather(struct row *row, void *into)
{
    struct weather_row *weather = into;

    *weather = (struct weather_row){
        .day = (int32_t)stmt_get_int(row->stmt, 0),
        .tmin_c = stmt_get_real(row->stmt, 1),
        .tmax_c = stmt_get_real(row->stmt, 2),
        .rh_percent = stmt_get_real(row->stmt, 3),
        .wind_m_s = stmt_get_real(row->stmt, 4),
        .sunshine_h = stmt_get_real(row->stmt, 5),
        .solar_mj_m2 = stmt_get_real(row->stmt, 6),
        .rain_mm = stmt_get_real(row->stmt, 7),
    };
}

int weather_list(struct db *db, int32_t first, int32_t last, int64_t limit, struct list *days, struct arena *arena,
                 struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &gardens_queries[WEATHER_LIST], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":first", first);
    stmt_int(stmt, ":last", last);
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read_weather, sizeof(struct weather_row), days, arena, fault);
}
