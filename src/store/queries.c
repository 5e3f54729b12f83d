/* queries.c - every named query of every noun, for the test that reads their plans. */
#include "store/entries.h"
#include "store/gardens.h"
#include "store/tanks.h"
#include "store/vessels.h"

const struct store_noun store_nouns[] = {
    {entries_queries, &entries_queries_count},
    {gardens_queries, &gardens_queries_count},
    {tanks_queries, &tanks_queries_count},
    {vessels_queries, &vessels_queries_count},
};
const size_t store_nouns_count = sizeof store_nouns / sizeof *store_nouns;
