/* resend.h - what every noun needs so that a document sent twice is kept once. */
#ifndef TIDEMARK_RESEND_H
#define TIDEMARK_RESEND_H

#include <stdbool.h>

#include "calc/fault.h"
#include "store/arena.h"

/* Makes an id where the sender brought none; FAULT_INPUT at "/id" where the one it brought is no UUID. */
int resend_give_id(const char **id, struct arena *arena, struct fault *fault);

/* Whether both say the same; NULL is nothing, and so is NAN; numbers by the twelve digits that answers write. */
bool resend_same_text(const char *a, const char *b);
bool resend_same_real(double a, double b);

/* An id that is there with other content. Returns -1. */
int resend_conflict(struct fault *fault);

#endif
