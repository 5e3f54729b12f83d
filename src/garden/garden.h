/* garden.h - one garden: its file, and the rules over it. */
#ifndef TIDEMARK_GARDEN_H
#define TIDEMARK_GARDEN_H

#include "calc/fault.h"
#include "store/store.h"

struct garden {
    struct store *store;
};

#endif
