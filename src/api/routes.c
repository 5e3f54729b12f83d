/* routes.c - every address the daemon answers, and who may ask. */
#include "api/routes.h"

#include "api/areas.h"
#include "api/backup.h"
#include "api/calc.h"
#include "api/calendar.h"
#include "api/chemistry.h"
#include "api/crops.h"
#include "api/cups.h"
#include "api/devices.h"
#include "api/duties.h"
#include "api/entries.h"
#include "api/fills.h"
#include "api/gardens.h"
#include "api/harvests.h"
#include "api/health.h"
#include "api/imports.h"
#include "api/invites.h"
#include "api/lists.h"
#include "api/members.h"
#include "api/meters.h"
#include "api/mixes.h"
#include "api/photos.h"
#include "api/plain.h"
#include "api/readings.h"
#include "api/round_days.h"
#include "api/rounds.h"
#include "api/salts.h"
#include "api/sensors.h"
#include "api/successions.h"
#include "api/tables.h"
#include "api/outlooks.h"
#include "api/today.h"
#include "api/tank_course.h"
#include "api/tanks.h"
#include "api/targets.h"
#include "api/vessels.h"
#include "api/walk.h"
#include "api/waters.h"
#include "api/weather.h"

const struct route routes[] = {
    {"POST", "/api/v1/calc/vessel", ACCESS_AT_HOME, calc_vessel_post, .takes = &calc_vessel_shape, .gives = &calc_vessel_answer_shape, .about = "What a vessel holds at a waterline, and back."},
    {"POST", "/api/v1/calc/lid", ACCESS_AT_HOME, calc_lid_post, .takes = &calc_lid_shape, .gives = &calc_lid_answer_shape, .about = "Where the holes for net cups go in a lid."},
    {"POST", "/api/v1/calc/reference-et", ACCESS_AT_HOME, calc_reference_et_post, .takes = &calc_reference_et_shape, .gives = &calc_reference_et_answer_shape, .about = "Reference evaporation of one day, FAO Irrigation and Drainage Paper 56."},
    {"POST", "/api/v1/calc/solution", ACCESS_AT_HOME, calc_solution_post, .takes = &calc_solution_shape, .gives = &solution_shape, .about = "What is in the water: species, pH, EC, saturation."},
    {"POST", "/api/v1/calc/acid", ACCESS_AT_HOME, calc_acid_post, .takes = &calc_acid_shape, .gives = &acid_shape, .about = "How much acid or base brings a solution to a wished pH."},
    {"POST", "/api/v1/calc/outlook", ACCESS_AT_HOME, calc_outlook_post, .takes = &calc_outlook_shape, .gives = &outlook_shape, .about = "A tank's future from what is known of it."},
    {"POST", "/api/v1/calc/topup", ACCESS_AT_HOME, calc_topup_post, .takes = &calc_topup_shape, .gives = &calc_topup_answer_shape, .about = "What to add to a tank, how strong, and in grams."},
    {"POST", "/api/v1/calc/recipe", ACCESS_AT_HOME, calc_recipe_post, .takes = &calc_recipe_shape, .gives = &calc_recipe_answer_shape, .about = "Grams of each salt for a target, what they come to, and in which order to dissolve them."},
    {"POST", "/api/v1/calc/concentrate", ACCESS_AT_HOME, calc_concentrate_post, .takes = &calc_concentrate_shape, .gives = &calc_concentrate_answer_shape, .about = "The same recipe as stock solutions in which nothing falls out."},
    {"POST", "/api/v1/calc/planning", ACCESS_AT_HOME, calc_planning_post, .takes = &calc_planning_shape, .gives = &calc_planning_answer_shape, .about = "How many plants one fill carries from a day on."},
    {"POST", "/api/v1/calc/meter", ACCESS_AT_HOME, calc_meter_post, .takes = &calc_meter_shape, .gives = &calc_meter_answer_shape, .about = "What a conductivity meter's number means, and a check against a standard."},
    {"POST", "/api/v1/calc/water", ACCESS_AT_HOME, calc_water_post, .takes = &calc_water_shape, .gives = &calc_water_answer_shape, .about = "A source water from what is known of it, and a blend."},
    {"POST", "/api/v1/calc/compare", ACCESS_AT_HOME, calc_compare_post, .takes = &calc_compare_shape, .gives = &calc_compare_answer_shape, .about = "What explains a mix that measures other than computed."},

    {"GET", "/api/v1/garden", ACCESS_VISITOR, garden_get, .gives = &garden_shape, .about = "The garden's settings."},
    {"PATCH", "/api/v1/garden", ACCESS_KEEPER, garden_patch, .patches = &garden_shape, .gives = &garden_shape, .about = "Changes settings."},

    {"GET", "/api/v1/vessels", ACCESS_VISITOR, vessels_list_get, .asks = &page_ask_shape, .gives = &vessels_answer_shape, .about = "All vessels."},
    {"POST", "/api/v1/vessels", ACCESS_KEEPER, vessels_post, .takes = &vessel_shape, .gives = &vessel_shape, .about = "Adds a vessel; sent twice it is kept once."},
    {"GET", "/api/v1/vessels/{vessel}", ACCESS_VISITOR, vessel_get, .gives = &vessel_shape, .about = "One vessel."},
    {"PATCH", "/api/v1/vessels/{vessel}", ACCESS_KEEPER, vessel_patch, .patches = &vessel_shape, .gives = &vessel_shape, .about = "Changes a vessel."},

    {"GET", "/api/v1/tanks", ACCESS_VISITOR, tanks_get, .asks = &page_ask_shape, .gives = &tanks_answer_shape, .about = "All tanks, in short."},
    {"POST", "/api/v1/tanks", ACCESS_KEEPER, tanks_post, .takes = &tank_sent_shape, .gives = &tank_shape, .about = "Adds a tank."},
    {"GET", "/api/v1/tanks/{tank}", ACCESS_VISITOR, tank_get, .gives = &tank_shape, .about = "One tank, whole; by id or short code."},
    {"PATCH", "/api/v1/tanks/{tank}", ACCESS_KEEPER, tank_patch, .patches = &tank_sent_shape, .gives = &tank_shape, .about = "Changes a tank."},
    {"GET", "/api/v1/tanks/{tank}/entries", ACCESS_VISITOR, tank_entries_get, .asks = &page_ask_shape, .gives = &entries_answer_shape, .about = "The tank's log, newest first."},
    {"GET", "/api/v1/tanks/{tank}/outlook", ACCESS_VISITOR, tank_outlook_get, .gives = &outlook_shape, .about = "What the tank will do."},
    {"GET", "/api/v1/tanks/{tank}/topup", ACCESS_VISITOR, tank_topup_get, .gives = &calc_topup_answer_shape, .about = "What to add to the tank now, from its own log."},
    {"GET", "/api/v1/tanks/{tank}/cups/{cup}", ACCESS_VISITOR, tank_cup_get, .gives = &cup_answer_shape, .about = "One cup: what hangs there, and what happened to it."},
    {"GET", "/api/v1/tanks/{tank}/drift", ACCESS_VISITOR, tank_drift_get, .gives = &drift_shape, .about = "How EC and pH of the fill go as the plants drink."},

    {"GET", "/api/v1/entries", ACCESS_VISITOR, entries_get, .asks = &entries_ask_shape, .gives = &entries_answer_shape, .about = "The log, newest first."},
    {"POST", "/api/v1/entries", ACCESS_SENSOR, entries_post, .takes = &entry_shape, .gives = &entry_shape, .about = "Logs one entry; sent twice it is kept once."},
    {"GET", "/api/v1/entries/{entry}", ACCESS_VISITOR, entry_get, .gives = &entry_shape, .about = "One entry."},

    {"GET", "/api/v1/photos", ACCESS_VISITOR, photos_get, .asks = &photos_ask_shape, .gives = &photos_answer_shape, .about = "Photos of entries, newest first, without the pictures."},
    {"POST", "/api/v1/photos", ACCESS_GROWER, photos_post, .takes = &photo_shape, .gives = &photo_shape, .body_most = PHOTO_BODY_MOST, .about = "Adds a photo to an entry; sent twice it is kept once."},
    {"GET", "/api/v1/photos/{photo}", ACCESS_VISITOR, photo_get, .about = "The picture itself, a JPEG."},
    {"DELETE", "/api/v1/photos/{photo}", ACCESS_GROWER, photo_delete, .about = "Removes a photo for good: one's own, or a keeper any."},

    {"GET", "/api/v1/mixes", ACCESS_VISITOR, mixes_get, .gives = &mixes_answer_shape, .about = "Solutions that are being weighed in."},
    {"POST", "/api/v1/mixes", ACCESS_GROWER, mixes_post, .takes = &mix_shape, .gives = &mix_shape, .about = "Begins a mix, so that others can carry on; sent twice it is kept once."},
    {"GET", "/api/v1/mixes/{mix}", ACCESS_VISITOR, mix_get, .gives = &mix_shape, .about = "One with its worksheet and the last word on each step."},
    {"POST", "/api/v1/mixes/{mix}/ticks", ACCESS_GROWER, mix_tick_post, .takes = &mix_tick_shape, .gives = &mix_shape, .about = "Says what was done at a step; the last word stands."},
    {"POST", "/api/v1/mixes/{mix}/state", ACCESS_GROWER, mix_state_post, .takes = &mix_state_shape, .gives = &mix_shape, .about = "Says that a mix is finished, given up, or open after all."},
    {"POST", "/api/v1/mixes/{mix}/off", ACCESS_GROWER, mix_off_post, .takes = &mix_off_shape, .gives = &mix_shape, .about = "Keeps a mix that somebody left from Today for some days, or shows it again."},

    {"GET", "/api/v1/today", ACCESS_VISITOR, today_get, .gives = &today_shape, .about = "What wants a hand today."},
    {"POST", "/api/v1/putoffs", ACCESS_GROWER, putoffs_post, .takes = &putoff_shape, .gives = &putoff_shape, .about = "Puts off what a tank asks for: for everybody, for some days, unless it becomes worse."},
    {"DELETE", "/api/v1/putoffs/{putoff}", ACCESS_GROWER, putoff_delete, .about = "Shows it again."},

    {"POST", "/api/v1/pair", ACCESS_ANYONE, pair_post, .takes = &pairing_shape, .gives = &paired_shape, .about = "Uses an invite up and pairs this device: its cookie comes with the answer."},
    {"GET", "/api/v1/members", ACCESS_VISITOR, members_get, .asks = &page_ask_shape, .gives = &members_answer_shape, .about = "All members, removed ones too."},
    {"POST", "/api/v1/members", ACCESS_KEEPER, members_post, .takes = &member_shape, .gives = &member_shape, .about = "Adds a member, who pairs by an invite."},
    {"PATCH", "/api/v1/members/{member}", ACCESS_KEEPER, member_patch, .patches = &member_shape, .gives = &member_shape, .about = "Changes a member, or removes one; the last keeper stays."},
    {"GET", "/api/v1/devices", ACCESS_VISITOR, devices_get, .asks = &page_ask_shape, .gives = &devices_answer_shape, .about = "A keeper sees all devices, others their own."},
    {"DELETE", "/api/v1/devices/{device}", ACCESS_VISITOR, device_delete, .about = "Shuts a device out: one's own, or a keeper any."},
    {"GET", "/api/v1/invites", ACCESS_KEEPER, invites_get, .asks = &page_ask_shape, .gives = &invites_answer_shape, .about = "All invites, without their links."},
    {"POST", "/api/v1/invites", ACCESS_KEEPER, invites_post, .takes = &invite_sent_shape, .gives = &invite_made_shape, .about = "Makes an invite: a link that works once within seven days."},
    {"DELETE", "/api/v1/invites/{invite}", ACCESS_KEEPER, invite_delete, .about = "Revokes an invite that was not used."},
    {"GET", "/api/v1/sensors", ACCESS_KEEPER, sensors_get, .asks = &page_ask_shape, .gives = &sensors_answer_shape, .about = "All sensors, without their keys."},
    {"POST", "/api/v1/sensors", ACCESS_KEEPER, sensors_post, .takes = &sensor_shape, .gives = &sensor_shape, .about = "Adds a sensor and shows its key this once."},
    {"POST", "/api/v1/sensors/{sensor}/key", ACCESS_KEEPER, sensor_key_post, .gives = &sensor_shape, .about = "Gives a sensor another key, shown this once; the old one is void at once."},
    {"DELETE", "/api/v1/sensors/{sensor}", ACCESS_KEEPER, sensor_delete, .about = "Shuts a sensor out."},
    {"POST", "/api/v1/readings", ACCESS_SENSOR, readings_post, .takes = &readings_sent_shape, .gives = &readings_kept_shape, .about = "Keeps a sensor's readings, many at once: raw, with what speaks against them."},
    {"GET", "/api/v1/tanks/{tank}/readings", ACCESS_VISITOR, tank_readings_get, .asks = &readings_ask_shape, .gives = &readings_answer_shape, .about = "What sensors told of the tank, thinned by age, or all of it."},
    {"GET", "/api/v1/tanks/{tank}/doubted", ACCESS_VISITOR, tank_doubted_get, .gives = &doubted_shape, .about = "What sensors told of the tank this week and is not believed, and why; and the stretches that people doubt."},
    {"GET", "/api/v1/doubts", ACCESS_VISITOR, doubts_get, .asks = &page_ask_shape, .gives = &doubts_answer_shape, .about = "Stretches of sensors' readings that people do not believe."},
    {"POST", "/api/v1/doubts", ACCESS_GROWER, doubts_post, .takes = &doubt_shape, .gives = &doubt_shape, .about = "Doubts a stretch of a sensor's readings; they stay, and no longer count."},
    {"DELETE", "/api/v1/doubts/{doubt}", ACCESS_GROWER, doubt_delete, .about = "Believes that stretch again."},
    {"GET", "/healthz", ACCESS_ANYONE, health_get, .gives = &health_shape, .about = "Whether the garden file answers."},
    {"GET", "/metrics", ACCESS_AT_HOME, metrics_get, .about = "Figures in the text format 0.0.4 of Prometheus: to this machine and to members."},
    {"GET", "/t/{code}", ACCESS_ANYONE, label_get, .about = "A scanned label."},
    {"GET", "/plain", ACCESS_VISITOR, plain_today_get, .about = "Today, without script."},
    {"GET", "/plain/tank/{tank}", ACCESS_VISITOR, plain_tank_get, .about = "One tank and its forms, without script."},
    {"POST", "/plain/log", ACCESS_GROWER, plain_log_post, .takes = &plain_log_shape, .form = true, .about = "Logs one entry from a form."},

    {"GET", "/api/v1/areas", ACCESS_VISITOR, areas_get, .asks = &list_ask_shape, .gives = &areas_answer_shape, .about = "All areas."},
    {"POST", "/api/v1/areas", ACCESS_KEEPER, areas_post, .takes = &area_shape, .gives = &area_shape, .about = "Adds an area."},
    {"PATCH", "/api/v1/areas/{area}", ACCESS_KEEPER, area_patch, .patches = &area_shape, .gives = &area_shape, .about = "Changes an area."},
    {"DELETE", "/api/v1/areas/{area}", ACCESS_KEEPER, area_delete, .about = "Removes an area with nothing in it."},

    {"GET", "/api/v1/walk/{area}", ACCESS_VISITOR, walk_get, .gives = &walk_shape, .about = "The walking order of what is directly in an area; top: of what is in none."},
    {"PATCH", "/api/v1/walk/{area}", ACCESS_KEEPER, walk_patch, .takes = &walk_sent_shape, .gives = &walk_shape, .about = "Sets the walking order of a whole place, unless somebody else changed it meanwhile."},
    {"GET", "/api/v1/rounds", ACCESS_VISITOR, rounds_get, .asks = &list_ask_shape, .gives = &rounds_answer_shape, .about = "Rounds under way and past, and who did them."},
    {"POST", "/api/v1/rounds", ACCESS_GROWER, rounds_post, .takes = &round_sent_shape, .gives = &round_shape, .about = "Makes a round out of what Today advises, with what to carry."},
    {"GET", "/api/v1/rounds/{round}", ACCESS_VISITOR, round_get, .gives = &round_shape, .about = "One round, stop by stop."},
    {"POST", "/api/v1/rounds/{round}/acts", ACCESS_GROWER, round_acts_post, .takes = &round_deed_shape, .gives = &round_shape, .about = "Takes, skips, does or gives back a stop, or ends the round; sent twice it is done once."},
    {"GET", "/api/v1/round-days", ACCESS_VISITOR, round_days_get, .gives = &round_days_answer_shape, .about = "On which weekdays a round is walked, of the whole garden and of areas."},
    {"PATCH", "/api/v1/round-days/{area}", ACCESS_KEEPER, round_days_patch, .takes = &round_days_sent_shape, .gives = &round_days_shape, .about = "Sets the weekdays of an area, or with garden in its place those of the whole garden."},
    {"POST", "/api/v1/round-putoffs", ACCESS_GROWER, round_putoffs_post, .takes = &round_putoff_shape, .gives = &round_putoff_shape, .about = "Puts a planned round that is due today off for some days, for everybody; sent twice it is kept once."},
    {"DELETE", "/api/v1/round-putoffs/{putoff}", ACCESS_GROWER, round_putoff_delete, .about = "Has it walked today after all."},
    {"GET", "/api/v1/duties", ACCESS_VISITOR, duties_get, .asks = &duties_ask_shape, .gives = &duties_answer_shape, .about = "Whose tanks and areas are, now and later."},
    {"POST", "/api/v1/duties", ACCESS_GROWER, duties_post, .takes = &duty_shape, .gives = &duty_shape, .about = "Takes a tank or an area for a while; a keeper may give it to others."},
    {"PATCH", "/api/v1/duties/{duty}", ACCESS_GROWER, duty_patch, .patches = &duty_change_shape, .gives = &duty_shape, .about = "Changes one's own duty, or a keeper any."},
    {"DELETE", "/api/v1/duties/{duty}", ACCESS_GROWER, duty_delete, .about = "Gives a duty back."},

    {"GET", "/api/v1/salts", ACCESS_VISITOR, salts_get, .asks = &list_ask_shape, .gives = &salts_answer_shape, .about = "The shelf: built-in salts and the garden's bags, with price, stock and cautions."},
    {"POST", "/api/v1/salts", ACCESS_GROWER, salts_post, .takes = &salt_shape, .gives = &salt_shape, .about = "Adds a bag by its label."},
    {"PATCH", "/api/v1/salts/{salt}", ACCESS_GROWER, salt_patch, .patches = &salt_shape, .gives = &salt_shape, .about = "Notes price, stock and the like of a salt."},
    {"GET", "/api/v1/waters", ACCESS_VISITOR, waters_get, .asks = &list_ask_shape, .gives = &waters_answer_shape, .about = "Source waters by their analyses."},
    {"POST", "/api/v1/waters", ACCESS_GROWER, waters_post, .takes = &water_shape, .gives = &water_shape, .about = "Adds an analysis."},
    {"PATCH", "/api/v1/waters/{water}", ACCESS_GROWER, water_patch, .patches = &water_shape, .gives = &water_shape, .about = "Changes an analysis."},
    {"GET", "/api/v1/targets", ACCESS_VISITOR, targets_get, .asks = &list_ask_shape, .gives = &targets_answer_shape, .about = "Published targets and the garden's own."},
    {"POST", "/api/v1/targets", ACCESS_GROWER, targets_post, .takes = &target_shape, .gives = &target_shape, .about = "Adds a target."},
    {"PATCH", "/api/v1/targets/{target}", ACCESS_GROWER, target_patch, .patches = &target_shape, .gives = &target_shape, .about = "Changes one of the garden's own."},
    {"GET", "/api/v1/crops", ACCESS_VISITOR, crops_get, .asks = &list_ask_shape, .gives = &crops_answer_shape, .about = "Built-in crops and the garden's own."},
    {"POST", "/api/v1/crops", ACCESS_GROWER, crops_post, .takes = &crop_shape, .gives = &crop_shape, .about = "Adds a crop or cultivar."},
    {"PATCH", "/api/v1/crops/{crop}", ACCESS_GROWER, crop_patch, .patches = &crop_shape, .gives = &crop_shape, .about = "Changes figures of a crop; null gives one back."},
    {"GET", "/api/v1/meters", ACCESS_VISITOR, meter_checks_get, .gives = &meter_checks_answer_shape, .about = "Checks of conductivity meters."},
    {"POST", "/api/v1/meters", ACCESS_GROWER, meter_checks_post, .takes = &meter_check_shape, .gives = &meter_check_shape, .about = "Logs a check of a meter against a standard."},
    {"GET", "/api/v1/harvests", ACCESS_VISITOR, harvests_get, .asks = &harvests_ask_shape, .gives = &harvests_answer_shape, .about = "What came off the tanks."},
    {"GET", "/api/v1/harvests/summary", ACCESS_VISITOR, harvests_summary_get, .asks = &harvests_ask_shape, .gives = &harvest_summary_shape, .about = "Harvests by tank, crop and season, with spread."},
    {"GET", "/api/v1/weather", ACCESS_VISITOR, weather_get, .asks = &weather_ask_shape, .gives = &weather_answer_shape, .about = "The weather as it was."},
    {"POST", "/api/v1/backup", ACCESS_KEEPER, backup_post, .gives = &backup_shape, .about = "Makes a proven copy of the garden file beside it."},
    {"GET", "/api/v1/backups", ACCESS_KEEPER, backups_get, .gives = &backups_shape, .about = "Copies of the garden, when the next one is due, and what somebody should see to."},
    {"GET", "/api/v1/export", ACCESS_KEEPER, export_get, .about = "One document of everything: nouns, then the log as it was received."},
    {"POST", "/api/v1/imports/garden", ACCESS_KEEPER, import_garden_post, .gives = &import_shape, .body_most = IMPORT_MOST, .spools = "application/json", .about = "Brings an export into this garden, which must be empty: all of it, or nothing."},
    {"POST", "/api/v1/imports/readings", ACCESS_KEEPER, import_readings_post, .asks = &import_readings_ask_shape, .gives = &import_shape, .body_most = IMPORT_MOST, .spools = "text/csv", .about = "Brings past readings in from a table: all rows, or none; what was brought in before is kept once."},
    {"POST", "/api/v1/imports/readings/look", ACCESS_KEEPER, import_look_post, .asks = &import_look_ask_shape, .gives = &import_look_shape, .body_most = (size_t)1 << 20, .spools = "text/csv", .about = "What the columns of a table seem to be, by its first part; nothing is kept."},
    {"POST", "/api/v1/imports/tables/{noun}", ACCESS_KEEPER, import_table_post, .asks = &import_table_ask_shape, .gives = &import_shape, .body_most = IMPORT_MOST, .spools = "text/csv", .about = "Brings one of the tables back in: all rows, or none."},
    {"GET", "/api/v1/imports", ACCESS_KEEPER, imports_get, .gives = &imports_answer_shape, .about = "Imports of late."},
    {"GET", "/api/v1/imports/{import}", ACCESS_KEEPER, import_get, .gives = &import_shape, .about = "How far an import is, and what was found wrong."},
    {"DELETE", "/api/v1/imports/{import}", ACCESS_KEEPER, import_delete, .about = "Cancels one: nothing of it is kept."},
    {"GET", "/api/v1/tables/{noun}", ACCESS_VISITOR, table_get, .about = "A list as a table for spreadsheets: harvests.csv, entries.csv, ..."},
    {"GET", "/api/v1/labels", ACCESS_VISITOR, labels_get, .asks = &list_ask_shape, .gives = &labels_answer_shape, .about = "What stands on the tanks' labels."},
    {"GET", "/api/v1/fills", ACCESS_VISITOR, fills_get, .asks = &fills_ask_shape, .gives = &fills_answer_shape, .about = "What each fill cost, and what came of it."},
    {"GET", "/api/v1/needs", ACCESS_VISITOR, needs_get, .asks = &needs_ask_shape, .gives = &needs_shape, .about = "What the coming fills and top-ups may take from the shelf, and what to buy."},
    {"POST", "/api/v1/calc/cheapest", ACCESS_VISITOR, cheapest_post, .takes = &cheapest_ask_shape, .gives = &cheapest_shape, .about = "The cheapest recipe within a tolerance, from the priced salts of the shelf, beside the closest."},
    {"POST", "/api/v1/calc/succession", ACCESS_VISITOR, succession_post, .takes = &succession_ask_shape, .gives = &succession_shape, .about = "When to sow and plant so that harvests follow one another, if the cups allow."},
    {"GET", "/api/v1/successions", ACCESS_VISITOR, successions_get, .asks = &list_ask_shape, .gives = &successions_answer_shape, .about = "Successions that people keep."},
    {"POST", "/api/v1/successions", ACCESS_GROWER, successions_post, .takes = &succession_kept_shape, .gives = &season_shape, .about = "Keeps a wish for harvests one after another, with its plan; sent twice it is kept once."},
    {"GET", "/api/v1/successions/{succession}", ACCESS_VISITOR, succession_get, .gives = &season_shape, .about = "What was planned, what was done, and what changes now."},
    {"PATCH", "/api/v1/successions/{succession}", ACCESS_GROWER, succession_patch, .patches = &succession_kept_shape, .gives = &season_shape, .about = "Changes the name, or ends it."},
    {"GET", "/api/v1/calendar.ics", ACCESS_VISITOR, calendar_get, .about = "Days to come: when tanks run low and what gets ready."},
    {"GET", "/api/v1/calendar/{key}", ACCESS_ANYONE, calendar_feed_get, .about = "The same for a calendar program, by the key of a feed."},
    {"GET", "/api/v1/feeds", ACCESS_VISITOR, feeds_get, .asks = &list_ask_shape, .gives = &feeds_answer_shape, .about = "Addresses of the calendar: a keeper sees all, others their own."},
    {"POST", "/api/v1/feeds", ACCESS_VISITOR, feeds_post, .takes = &feed_sent_shape, .gives = &feed_made_shape, .about = "Makes an address that a calendar program can subscribe to."},
    {"DELETE", "/api/v1/feeds/{feed}", ACCESS_VISITOR, feed_delete, .about = "Revokes one: one's own, or a keeper any."},
    {"POST", "/api/v1/weather", ACCESS_SENSOR, weather_post, .takes = &weather_sent_shape, .gives = &weather_answer_shape, .about = "Tells days of weather; a sensor those of the last two weeks."},
};
const size_t routes_count = sizeof routes / sizeof *routes;
