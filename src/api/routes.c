/* routes.c - every address the daemon answers, and who may ask. */
#include "api/routes.h"

#include "api/calc.h"
#include "api/entries.h"
#include "api/gardens.h"
#include "api/tanks.h"
#include "api/vessels.h"

const struct route routes[] = {
    {"POST", "/api/v1/calc/vessel", ACCESS_AT_HOME, calc_vessel_post, .takes = &calc_vessel_shape, .gives = &calc_vessel_answer_shape, .about = "What a vessel holds at a waterline, and back."},
    {"POST", "/api/v1/calc/lid", ACCESS_AT_HOME, calc_lid_post, .takes = &calc_lid_shape, .gives = &calc_lid_answer_shape, .about = "Where the holes for net cups go in a lid."},
    {"POST", "/api/v1/calc/reference-et", ACCESS_AT_HOME, calc_reference_et_post, .takes = &calc_reference_et_shape, .gives = &calc_reference_et_answer_shape, .about = "Reference evaporation of one day, FAO Irrigation and Drainage Paper 56."},

    {"GET", "/api/v1/garden", ACCESS_VISITOR, garden_get, .gives = &garden_shape, .about = "The garden's settings."},
    {"PATCH", "/api/v1/garden", ACCESS_KEEPER, garden_patch, .patches = &garden_shape, .gives = &garden_shape, .about = "Changes settings."},

    {"GET", "/api/v1/vessels", ACCESS_VISITOR, vessels_list_get, .asks = &page_ask_shape, .gives = &vessels_answer_shape, .about = "All vessels."},
    {"POST", "/api/v1/vessels", ACCESS_KEEPER, vessels_post, .takes = &vessel_shape, .gives = &vessel_shape, .about = "Adds a vessel, or puts it in the place of the one with this id."},
    {"GET", "/api/v1/vessels/{vessel}", ACCESS_VISITOR, vessel_get, .gives = &vessel_shape, .about = "One vessel."},
    {"PATCH", "/api/v1/vessels/{vessel}", ACCESS_KEEPER, vessel_patch, .patches = &vessel_shape, .gives = &vessel_shape, .about = "Changes a vessel."},

    {"GET", "/api/v1/tanks", ACCESS_VISITOR, tanks_get, .asks = &page_ask_shape, .gives = &tanks_answer_shape, .about = "All tanks, in short."},
    {"POST", "/api/v1/tanks", ACCESS_KEEPER, tanks_post, .takes = &tank_sent_shape, .gives = &tank_shape, .about = "Adds a tank."},
    {"GET", "/api/v1/tanks/{tank}", ACCESS_VISITOR, tank_get, .gives = &tank_shape, .about = "One tank, whole; by id or short code."},
    {"PATCH", "/api/v1/tanks/{tank}", ACCESS_KEEPER, tank_patch, .patches = &tank_sent_shape, .gives = &tank_shape, .about = "Changes a tank."},
    {"GET", "/api/v1/tanks/{tank}/entries", ACCESS_VISITOR, tank_entries_get, .asks = &page_ask_shape, .gives = &entries_answer_shape, .about = "The tank's log, newest first."},
    {"GET", "/api/v1/tanks/{tank}/outlook", ACCESS_VISITOR, tank_outlook_get, .gives = &outlook_shape, .about = "What the tank will do."},

    {"GET", "/api/v1/entries", ACCESS_VISITOR, entries_get, .asks = &entries_ask_shape, .gives = &entries_answer_shape, .about = "The log, newest first."},
    {"POST", "/api/v1/entries", ACCESS_GROWER, entries_post, .takes = &entry_shape, .gives = &entry_shape, .about = "Logs one entry; sent twice it is kept once."},
    {"GET", "/api/v1/entries/{entry}", ACCESS_VISITOR, entry_get, .gives = &entry_shape, .about = "One entry."},

    {"GET", "/api/v1/today", ACCESS_VISITOR, today_get, .gives = &today_shape, .about = "What wants a hand today."},
};
const size_t routes_count = sizeof routes / sizeof *routes;
