/* gardens.h - the one garden in the file: its settings and the climate of its place. */
#ifndef TIDEMARK_STORE_GARDENS_H
#define TIDEMARK_STORE_GARDENS_H

#include "store/arena.h"
#include "store/store.h"

enum garden_place { PLACE_OPEN_AIR, PLACE_UNDER_COVER, PLACE_LAMPS };

struct month_row {
    double tmin_c, tmax_c, rh_percent, wind_m_s, sunshine_h; /* NAN where not known; tmin_c and tmax_c always are */
};

struct garden_row {
    const char *id, *name, *time_zone;
    double latitude_deg, elevation_m; /* NAN: not told yet */
    int place;
    struct list months; /* 12 struct month_row, or none */
    double indoor_temperature_c, indoor_rh_percent, indoor_ppfd_umol, indoor_hours;
    int length_unit;      /* mm, cm, in */
    int volume_unit;      /* l, us_gal, imp_gal */
    int temperature_unit; /* c, f */
    int mass_unit;        /* g, oz */
    int language;         /* en, de */
    const char *public_url;
    int label_shows;      /* nothing, crop */
    double lamp_w;        /* over each tank that tells none of its own; NAN: not told */
    bool records_members; /* harvest records may be read member by member */
    int64_t made_ms;
};

/* 1 there, 0 a new file, -1 fault. */
int gardens_read(struct db *db, struct garden_row *garden, struct arena *arena, struct fault *fault);

/* Writes all settings, making the row in a new file; every tank counts as changed. */
int gardens_write(struct db *db, const struct garden_row *garden, struct fault *fault);

struct weather_row {
    int32_t day;
    double tmin_c, tmax_c, rh_percent, wind_m_s, sunshine_h, solar_mj_m2, rain_mm;
};

/* Adds a day's weather or puts it in the place of what was told before. */
int weather_put(struct db *db, const struct weather_row *weather, struct fault *fault);

/* Days from first to last, oldest first, at most limit: struct weather_row. */
int weather_list(struct db *db, int32_t first, int32_t last, int64_t limit, struct list *days, struct arena *arena,
                 struct fault *fault);

extern const struct query gardens_queries[];
extern const size_t gardens_queries_count;

#endif
