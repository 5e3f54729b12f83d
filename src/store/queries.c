/* queries.c - every named query of every noun, for the test that reads their plans. */
#include "store/areas.h"
#include "store/corrections.h"
#include "store/crops.h"
#include "store/doubts.h"
#include "store/duties.h"
#include "store/entries.h"
#include "store/feeds.h"
#include "store/gardens.h"
#include "store/lessons.h"
#include "store/harvests.h"
#include "store/rounds.h"
#include "store/round_days.h"
#include "store/mixes.h"
#include "store/photos.h"
#include "store/putoffs.h"
#include "store/salts.h"
#include "store/members.h"
#include "store/sensed.h"
#include "store/sensed_imports.h"
#include "store/meters.h"
#include "store/successions.h"
#include "store/standings.h"
#include "store/tanks.h"
#include "store/targets.h"
#include "store/vessels.h"
#include "store/waters.h"

const struct store_noun store_nouns[] = {
    {areas_queries, &areas_queries_count},
    {corrections_queries, &corrections_queries_count},
    {crops_queries, &crops_queries_count},
    {doubts_queries, &doubts_queries_count},
    {duties_queries, &duties_queries_count},
    {entries_queries, &entries_queries_count},
    {feeds_queries, &feeds_queries_count},
    {gardens_queries, &gardens_queries_count},
    {lessons_queries, &lessons_queries_count},
    {harvests_queries, &harvests_queries_count},
    {rounds_queries, &rounds_queries_count},
    {round_days_queries, &round_days_queries_count},
    {mixes_queries, &mixes_queries_count},
    {photos_queries, &photos_queries_count},
    {putoffs_queries, &putoffs_queries_count},
    {salts_queries, &salts_queries_count},
    {members_queries, &members_queries_count},
    {meters_queries, &meters_queries_count},
    {successions_queries, &successions_queries_count},
    {sensed_queries, &sensed_queries_count},
    {sensed_imports_queries, &sensed_imports_queries_count},
    {standings_queries, &standings_queries_count},
    {tanks_queries, &tanks_queries_count},
    {targets_queries, &targets_queries_count},
    {vessels_queries, &vessels_queries_count},
    {waters_queries, &waters_queries_count},
};
const size_t store_nouns_count = sizeof store_nouns / sizeof *store_nouns;
