/* standing_keeper.h - a thread that works out how tanks stand before anybody asks.
 *
 * When a day turns, when the weather comes or a crop is changed, every tank stands differently: ten thousand take some seconds.
 * Whoever asks meanwhile is shown them as they stood, and told so. What was worked out is put into the file now and then, so
 * that the first look after a start need not wait either. A garden without a keeper works everything out when it is asked.
 */
#ifndef TIDEMARK_STANDING_KEEPER_H
#define TIDEMARK_STANDING_KEEPER_H

#include "garden/garden.h"

/* Takes back what the file has and starts the thread: garden->keeper is set. garden_close ends it. */
int standing_keeper_start(struct garden *garden, struct fault *fault);

/* Puts what was worked out into the file and ends the thread; NULL does nothing. */
void standing_keeper_stop(struct standing_keeper *keeper);

/* There is something to be worked out. */
void standing_keeper_wake(struct standing_keeper *keeper);

/* Waits until nothing is left to be worked out or put away; for tests. */
void standing_keeper_settle(struct standing_keeper *keeper);

#endif
